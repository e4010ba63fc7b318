//! Money, people and their papers: cost, price, quotation, notices.
