//! `tussock serve`, end to end.
#![cfg(unix)]

mod support;

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use support::Yard;

fn tussock(yard: &Yard, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tussock"));
    command
        .args(arguments)
        .current_dir(yard.path(""))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

/// Makes an owner, and gives exit code and all that was printed.
fn owner(yard: &Yard, password: &str) -> (Option<i32>, String) {
    let mut child = tussock(yard, &["serve", "owner", "--name", "mara"]).spawn().expect("it runs");
    child.stdin.take().expect("its input").write_all(password.as_bytes()).expect("written");
    let output = child.wait_with_output().expect("it ends");
    let told = [output.stdout, output.stderr].concat();
    (output.status.code(), String::from_utf8(told).expect("UTF-8"))
}

fn ends(mut child: Child) -> Option<i32> {
    let by = Instant::now() + Duration::from_mins(1);
    while Instant::now() < by {
        if let Some(status) = child.try_wait().expect("its state") {
            return status.code();
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    let _ = child.kill();
    panic!("it does not end");
}

#[test]
fn it_starts_answers_and_ends_cleanly_when_told() {
    let yard = Yard::empty();
    let mut child = tussock(&yard, &["serve", "--address", "127.0.0.1:0"]).spawn().expect("it runs");
    let mut lines = BufReader::new(child.stderr.take().expect("its words")).lines();
    let serving = |line: &String| line.contains("serving at http://");
    let line = lines.by_ref().map(|line| line.expect("a line")).find(serving).expect("it says where");
    let address = line.rsplit('/').next().expect("an address").to_owned();
    let mut stream = TcpStream::connect(&address).expect("a connection");
    let request = format!("GET /api/session HTTP/1.1\r\nhost: {address}\r\nconnection: close\r\n\r\n");
    stream.write_all(request.as_bytes()).expect("sent");
    let mut answer = String::new();
    stream.read_to_string(&mut answer).expect("an answer");
    assert!(answer.starts_with("HTTP/1.1 200") && answer.contains("\"role\":\"owner\""), "{answer}");
    let told = Command::new("kill").args(["-TERM", &child.id().to_string()]).status().expect("it runs");
    assert!(told.success());
    assert_eq!(ends(child), Some(0));
}

#[test]
fn beyond_this_machine_it_asks_for_tls_and_an_owner() {
    let yard = Yard::empty();
    let ran = yard.run(&["serve", "--address", "0.0.0.0:0"]);
    assert_eq!((ran.code, ran.stdout.as_str()), (1, ""));
    for words in ["server::no-tls", "server::no-owner", "--tls authority", "tussock serve owner"] {
        assert!(ran.stderr.contains(words), "{words} in {}", ran.stderr);
    }
}

#[test]
fn in_the_houses_network_it_asks_for_an_owner_or_for_a_network() {
    let yard = Yard::empty();
    let ran = yard.run(&["serve", "--lan"]);
    assert_eq!(ran.code, 1);
    // A machine that runs tests may be in no network.
    assert!(["server::no-owner", "serve::no-network"].iter().any(|code| ran.stderr.contains(code)), "{}", ran.stderr);
    let both = yard.run(&["serve", "--lan", "--address", "127.0.0.1:0"]);
    assert_eq!(both.code, 2, "{}", both.stderr);
}

#[test]
fn a_rest_is_a_time_that_a_session_can_keep() {
    let yard = Yard::empty();
    for (rest, told) in [("4 min", "5 min to 12 h"), ("13 h", "5 min to 12 h"), ("30", "unit"), ("-5 min", "-5 min")] {
        let ran = yard.run(&["serve", "--address", "0.0.0.0:0", &format!("--rest={rest}")]);
        assert_eq!(ran.code, 2, "{rest}: {}", ran.told());
        assert!(ran.stderr.contains(told), "{rest}: {}", ran.stderr);
    }
    for rest in ["5 min", "30min", "1 h 30 min", "12 h"] {
        let ran = yard.run(&["serve", "--address", "0.0.0.0:0", &format!("--rest={rest}")]);
        assert_eq!(ran.code, 1, "{rest}: {}", ran.told());
        assert!(ran.stderr.contains("server::no-tls"), "{rest}: {}", ran.stderr);
    }
}

#[test]
fn a_second_factor_is_asked_for_only_where_people_sign_in() {
    let yard = Yard::empty();
    let ran = yard.run(&["serve", "--address", "127.0.0.1:0", "--require-second-factor"]);
    assert_eq!(ran.code, 1, "{}", ran.told());
    assert!(ran.stderr.contains("server::second-factor-without-sign-in"), "{}", ran.stderr);
}

#[test]
fn an_owner_is_made_with_a_password_that_is_never_shown() {
    let yard = Yard::empty();
    let (code, told) = owner(&yard, "short\n");
    assert_eq!(code, Some(1));
    assert!(told.contains("access::password-length"), "{told}");
    let (code, told) = owner(&yard, "four small words\n");
    assert_eq!(code, Some(0), "{told}");
    assert!(told.contains("mara may sign in") && !told.contains("four small words"), "{told}");
    let (code, told) = owner(&yard, "four small words\n");
    assert_eq!(code, Some(1));
    assert!(told.contains("access::name-taken"), "{told}");
}

/// Whether a terminal shows nothing of what is typed.
#[cfg(target_os = "linux")]
fn is_blind(terminal: &str) -> bool {
    let told = Command::new("stty").args(["-a", "-F", terminal]).output().expect("stty runs");
    String::from_utf8_lossy(&told.stdout).split_whitespace().any(|word| word == "-echo")
}

/// Makes an owner on a terminal of its own, typing these lines as they are asked for; gives exit code and all
/// that the terminal showed, or nothing where no program makes terminals.
#[cfg(target_os = "linux")]
fn owner_on_a_terminal(yard: &Yard, lines: [&str; 2]) -> Option<(Option<i32>, String)> {
    let command = format!("tty; exec '{}' serve owner --name mara", env!("CARGO_BIN_EXE_tussock"));
    let mut terminal = Command::new("script");
    terminal.args(["--quiet", "--return", "--command", &command, "/dev/null"]).current_dir(yard.path(""));
    let Ok(mut child) = terminal.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null()).spawn() else {
        eprintln!("not run: there is no `script` that makes a terminal");
        return None;
    };
    let (mut typed, mut shown) = (child.stdin.take().expect("its keys"), child.stdout.take().expect("its screen"));
    let (mut told, mut piece) = (String::new(), [0; 1024]);
    for (question, line) in ["not shown): ", "again: "].into_iter().zip(lines) {
        while !told.ends_with(question) {
            let length = shown.read(&mut piece).expect("what it shows");
            assert!(length > 0, "it ended without `{question}`: {told}");
            told.push_str(&String::from_utf8_lossy(&piece[..length]));
        }
        // The question stands a moment before the terminal goes blind; nobody types so fast.
        let terminal = told.lines().next().expect("the terminal's name").trim().to_owned();
        let by = Instant::now() + Duration::from_mins(1);
        while !is_blind(&terminal) {
            assert!(Instant::now() < by, "{terminal} shows what is typed at `{question}`");
            std::thread::sleep(Duration::from_millis(5));
        }
        typed.write_all(format!("{line}\n").as_bytes()).expect("typed");
    }
    shown.read_to_string(&mut told).expect("what it shows");
    Some((ends(child), told))
}

#[cfg(target_os = "linux")]
#[test]
fn on_a_terminal_the_password_is_asked_for_twice_and_never_seen() {
    let yard = Yard::empty();
    let Some((code, told)) = owner_on_a_terminal(&yard, ["four small words", "for small words"]) else { return };
    assert_eq!(code, Some(1), "{told}");
    assert!(told.contains("serve::password-differs") && !told.contains("small words"), "{told}");
    let (code, told) = owner_on_a_terminal(&yard, ["four small words"; 2]).expect("a terminal");
    assert_eq!(code, Some(0), "{told}");
    assert!(told.contains("mara may sign in") && !told.contains("small words"), "{told}");
}
