-- A second factor of a sign-in: the secret that its codes come from, and the hashes of its recovery codes.
-- Codes can only be checked by who has the secret, so that it lies here as it is. The role that works on
-- books has no right to these tables.
create table second_factor (
  sign_in {text} primary key references sign_in (sign_in),
  secret {text} not null,
  confirmed bigint not null,
  last_step bigint not null,
  begun_at_ms bigint not null
);

create table recovery_code (
  sign_in {text} not null references sign_in (sign_in),
  code_sha256 {text} not null,
  primary key (sign_in, code_sha256)
);

-- Whether the session was begun with the second factor.
alter table session add column second_factor bigint not null default 0;
