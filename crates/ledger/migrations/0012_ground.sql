-- Where a thing lies, in ten-millionths of a degree, and which labels it used. An entry that tells no ground
-- may lie anywhere: the index holds the whole Earth for it.
alter table entry add column ground_south bigint;
alter table entry add column ground_west bigint;
alter table entry add column ground_north bigint;
alter table entry add column ground_east bigint;
alter table entry add column labels {text};
alter table thing add column ground_south bigint not null default -900000000;
alter table thing add column ground_west bigint not null default -1800000000;
alter table thing add column ground_north bigint not null default 900000000;
alter table thing add column ground_east bigint not null default 1800000000;
alter table thing add column labels {text};
create index thing_ground on thing (account, kind, ground_south, ground_north, ground_west, ground_east);
