//! The server from outside.

mod demo;
mod description;
mod door;
mod efficacy;
mod gate;
mod isolation;
mod lawn;
mod naming;
mod pages;
mod pests;
mod scouting;
mod second_factor;
mod shown;
mod support;
mod survey;
mod table;
mod tls;
mod trade;
mod walk;
