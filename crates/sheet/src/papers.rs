//! Papers of the business: quotation, client sheet, posting sign, neighbour notice.

mod application_record;
mod client_sheet;
mod letter;
mod neighbour_notice;
mod plain_words;
mod posting_sign;
mod quotation;
#[cfg(test)]
mod text_tests;

pub use application_record::application_record_pdf;
pub use client_sheet::client_sheet_pdf;
pub use neighbour_notice::neighbour_notice_pdf;
pub use posting_sign::posting_sign_pdf;
pub use quotation::quotation_pdf;
