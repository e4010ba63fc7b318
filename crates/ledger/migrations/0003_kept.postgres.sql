-- What was kept is neither changed nor removed, whoever holds the connection.
create function kept_is_kept() returns trigger language plpgsql as $$
begin raise exception 'what was kept is neither changed nor removed'; end $$;
create trigger entry_kept before update or delete or truncate on entry
  for each statement execute function kept_is_kept();
create trigger attachment_kept before update or delete or truncate on attachment
  for each statement execute function kept_is_kept();
