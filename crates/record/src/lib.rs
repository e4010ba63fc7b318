//! What was done: application records, totals by place, complaints, leftovers.
