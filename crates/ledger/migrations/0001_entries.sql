-- The chain of entries of every account, and the index over the newest version of each thing.
-- `{text}` is the text type whose order is the order of its bytes.
create table account (
  account {text} primary key,
  name {text} not null unique,
  head_sequence bigint not null,
  head_hash {text} not null
);

create table entry (
  account {text} not null references account (account),
  sequence bigint not null,
  kind {text} not null,
  thing {text} not null,
  version bigint not null,
  recorded_at {text} not null,
  actor_name {text} not null,
  actor_sign_in {text},
  body {text} not null,
  reason {text},
  client {text},
  property {text},
  date {text},
  title {text} not null,
  discards bigint not null,
  request {text} not null,
  previous_hash {text} not null,
  hash {text} not null,
  primary key (account, sequence),
  unique (account, thing, version)
);
create index entry_request on entry (account, request, sequence);
create index entry_kind on entry (account, kind, sequence);

create table thing (
  account {text} not null references account (account),
  thing {text} not null,
  kind {text} not null,
  version bigint not null,
  client {text},
  property {text},
  date {text} not null,
  title {text} not null,
  searched {text} not null,
  discarded bigint not null,
  primary key (account, thing)
);
create index thing_date on thing (account, kind, date, thing);
create index thing_title on thing (account, kind, searched, thing);
create index thing_client on thing (account, client);
create index thing_property on thing (account, property);
