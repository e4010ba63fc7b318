//! What a person is in a business.

use problem::Problem;

/// What a person is in a business, from the most to the least that they may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// Answers for the business: may do everything, sign-ins and audit trail included.
    Owner,
    /// Plans visits, keeps clients, properties, labels and stock.
    Planner,
    /// Carries visits out: sees the work, keeps records and counts.
    Technician,
    /// Sees what concerns their own property, and keeps nothing.
    Client,
}

impl Role {
    /// Every role.
    pub const ALL: [Self; 4] = [Self::Owner, Self::Planner, Self::Technician, Self::Client];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Owner => "owner",
            Self::Planner => "planner",
            Self::Technician => "technician",
            Self::Client => "client",
        }
    }

    /// Reads the word.
    ///
    /// # Errors
    /// It is none of the four.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        Self::ALL.into_iter().find(|role| role.word() == text).ok_or_else(|| {
            Problem::error("access::role", format!("`{text}` is no role"))
                .expected("`owner`, `planner`, `technician` or `client`")
                .at("role")
        })
    }
}
