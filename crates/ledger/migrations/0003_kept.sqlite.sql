-- What was kept is neither changed nor removed, whoever holds the connection.
create trigger entry_unchanged before update on entry
begin select raise(abort, 'an entry is never changed'); end;
create trigger entry_unremoved before delete on entry
begin select raise(abort, 'an entry is never removed'); end;
create trigger attachment_unchanged before update on attachment
begin select raise(abort, 'an attachment is never changed'); end;
create trigger attachment_unremoved before delete on attachment
begin select raise(abort, 'an attachment is never removed'); end;
