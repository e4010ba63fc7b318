-- The audit trail is appended to, and nothing else.
create trigger audit_kept before update or delete or truncate on audit
  for each statement execute function kept_is_kept();
