//! What every route shares: refusals as problem details, permissions, who asks, safeguards, and the
//! pieces of requests that many routes read.

mod caller;
pub(crate) mod document;
mod extract;
mod gate;
mod guard;
mod idempotency;
mod limiter;
mod metrics;
mod page;
mod permission;
mod refusal;
mod version;

pub use caller::Caller;
pub use extract::{ClientAddress, JsonBody, NameInPath, QueryOf, RequestId, TextBody, WordInPath};
pub use gate::{Gate, gate};
pub use idempotency::IdempotencyKey;
pub use limiter::Limiter;
pub(crate) use limiter::network;
pub use metrics::Metrics;
pub use page::{Page, PageQuery};
pub use permission::{Permission, Routes};
pub use refusal::{ProblemDetails, ProblemEntry, Refusal};
pub use version::{ETag, IfMatch};

pub(crate) use gate::panicked;
