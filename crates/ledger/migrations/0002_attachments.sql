-- Photos and papers, named by the SHA-256 of their bytes; an entry may stand for one of them.
create table attachment (
  account {text} not null references account (account),
  sha256 {text} not null,
  media_type {text} not null,
  bytes {bytes} not null,
  primary key (account, sha256)
);
alter table entry add column attachment {text};
create index entry_attachment on entry (account, attachment);
