//! `tussock serve owner`: the first way in.

use super::{Books, location};
use crate::care::examples_and_care;
use crate::command::desk::account_in;
use crate::console::say;
use crate::outcome::{CommandResult, Failure, Outcome};
use clap::Args;
use ledger::access::{Event, NewSignIn, Password, Role};
use ledger::{Ledger, LedgerError};
use problem::Problem;
use std::io::{self, BufRead as _, IsTerminal as _};

/// Make an owner's sign-in
///
/// The password is asked for on a terminal, twice and unseen, or read as one line from standard input; it is
/// never an argument, where other programs of the machine could see it.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock serve owner --name mara --books books.db",
    "tussock serve owner --name mara --books books.db < password.txt",
))]
pub(super) struct OwnerArgs {
    /// What the owner will type
    #[arg(long, value_name = "NAME")]
    name: String,
    #[command(flatten)]
    books: Books,
}

/// Makes the sign-in.
pub(super) async fn make(args: &OwnerArgs) -> CommandResult {
    let told = |error: LedgerError| Failure(error.problems());
    let ledger = Ledger::open(&location(&args.books)?).await.map_err(told)?;
    let account_name = account_in(&ledger, args.books.account.as_deref()).await.map_err(told)?;
    let password = Password::choose(&read_password()?, &[&args.name, &account_name])?;
    let account = ledger.open_account(&account_name).await.map_err(told)?;
    let access = ledger.access();
    let now = jiff::Timestamp::now();
    let new = NewSignIn { name: args.name.clone(), account, role: Role::Owner, client: None, password };
    let made = access.make_sign_in(new, now).await.map_err(told)?;
    let event = Event {
        at: now,
        account: Some(account),
        sign_in: Some(made.sign_in),
        name: made.name.clone(),
        address: "this machine".to_owned(),
        event: "make sign-in as owner".to_owned(),
        outcome: "done".to_owned(),
        request: String::new(),
    };
    access.audit(&event).await.map_err(told)?;
    ledger.close().await;
    say(&format!("{} may sign in as owner of {account_name}\n", made.name));
    Ok(Outcome::Done)
}

/// The password, as it was typed.
fn read_password() -> Result<String, Problem> {
    let unread = |error: io::Error| {
        Problem::error("serve::password", format!("the password cannot be read: {error}"))
            .mend("give it as one line on standard input")
    };
    if !io::stdin().is_terminal() {
        let mut line = String::new();
        io::stdin().lock().read_line(&mut line).map_err(unread)?;
        return Ok(line.trim_end_matches(['\r', '\n']).to_owned());
    }
    let ask = |words: &str| rpassword::prompt_password(words).map_err(unread);
    let password = ask("password (12 to 128 characters, not shown): ")?;
    if ask("the same again: ")? != password {
        return Err(Problem::error("serve::password-differs", "the password was typed in two ways")
            .expected("the same password twice")
            .mend("call the command again"));
    }
    Ok(password)
}
