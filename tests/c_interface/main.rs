//! The C interface as C, C++ and Python see it: the header, the library's symbols, clients, bad calls, threads, and films and numbers
//! that are those of the Rust library.
//!
//! The library is built once, into a folder of its own. A tool that is missing is told on standard error with a line that begins
//! with SKIPPED, which `.ci/run` takes as a failure.
#![cfg(target_os = "linux")]

mod calls;
mod clients;
mod colour;
mod dice;
mod exports;
mod films;
mod install;
mod numbers;
mod tools;
