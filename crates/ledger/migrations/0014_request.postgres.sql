-- What a request asked for, by its hash: sent again it is known, whatever the book has become since.
create table request (
  account {text} not null references account (account),
  request {text} not null,
  asked {text} not null,
  primary key (account, request)
);
grant select, insert on request to tussock_books;
alter table request enable row level security;
alter table request force row level security;
create policy one_account on request using (account = current_setting('tussock.account', true));
