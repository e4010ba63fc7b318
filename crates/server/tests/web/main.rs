//! The server from outside.

mod description;
mod door;
mod gate;
mod isolation;
mod shown;
mod support;
mod table;
mod tls;
mod trade;
mod walk;
