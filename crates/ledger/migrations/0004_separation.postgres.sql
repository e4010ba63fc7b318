-- Every transaction works as `tussock_books`, which owns nothing, and sees the rows of the one
-- account that the transaction has named. Roles belong to the whole server: another database of it
-- may make the same role at the same moment.
do $$
begin
  if not exists (select from pg_roles where rolname = 'tussock_books') then
    create role tussock_books nologin;
  end if;
exception when duplicate_object or unique_violation then null;
end $$;
do $$
begin
  if not pg_has_role(current_user, 'tussock_books', 'member') then
    execute format('grant tussock_books to %I', current_user);
  end if;
end $$;

grant select, insert, update on account to tussock_books;
grant select, insert on entry to tussock_books;
grant select, insert, update on thing to tussock_books;
grant select, insert on attachment to tussock_books;

alter table account enable row level security;
alter table account force row level security;
create policy one_account on account
  using (account = current_setting('tussock.account', true)
    or current_setting('tussock.every_account', true) = 'yes');

alter table entry enable row level security;
alter table entry force row level security;
create policy one_account on entry using (account = current_setting('tussock.account', true));

alter table thing enable row level security;
alter table thing force row level security;
create policy one_account on thing using (account = current_setting('tussock.account', true));

alter table attachment enable row level security;
alter table attachment force row level security;
create policy one_account on attachment using (account = current_setting('tussock.account', true));
