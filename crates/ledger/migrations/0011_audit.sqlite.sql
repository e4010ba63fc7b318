-- The audit trail is appended to, and nothing else.
create trigger audit_unchanged before update on audit
begin select raise(abort, 'the audit trail is never changed'); end;
create trigger audit_unremoved before delete on audit
begin select raise(abort, 'nothing leaves the audit trail'); end;
