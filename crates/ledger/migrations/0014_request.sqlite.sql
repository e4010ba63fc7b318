-- What a request asked for, by its hash: sent again it is known, whatever the book has become since.
create table request (
  account {text} not null references account (account),
  request {text} not null,
  asked {text} not null,
  primary key (account, request)
);
