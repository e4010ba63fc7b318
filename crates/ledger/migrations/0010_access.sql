-- Who may come in: sign-ins, their sessions, failed attempts, and the audit trail. The role that
-- works on books has no right to these tables.
create table sign_in (
  sign_in {text} primary key,
  name {text} not null unique,
  account {text} not null references account (account),
  role {text} not null,
  client {text},
  password_hash {text} not null,
  disabled bigint not null,
  made_at_ms bigint not null
);
create index sign_in_account on sign_in (account, name);

create table session (
  token_sha256 {text} primary key,
  sign_in {text} not null references sign_in (sign_in),
  began_at_ms bigint not null,
  seen_at_ms bigint not null
);
create index session_sign_in on session (sign_in);

create table attempt (
  subject {text} primary key,
  failures bigint not null,
  last_at_ms bigint not null
);

create table audit (
  number {text} primary key,
  at_ms bigint not null,
  account {text},
  sign_in {text},
  name {text} not null,
  address {text} not null,
  event {text} not null,
  outcome {text} not null,
  request {text} not null
);
create index audit_account on audit (account, number);
