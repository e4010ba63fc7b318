//! One visit: zones, tasks, amounts, lawful hours, verdicts
