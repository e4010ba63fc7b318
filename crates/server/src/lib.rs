//! The HTTP interface, sign-in and roles.
