-- SQLite has no rules for rows: there every statement names its account, and a file has one owner.
select 1;
