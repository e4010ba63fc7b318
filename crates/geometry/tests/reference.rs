//! Checks against values that others worked out.

mod reference {
    mod lots;
    mod measuring;
    mod plane;
}
