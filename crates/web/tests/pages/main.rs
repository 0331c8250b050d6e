//! The shop's pages, asked as a browser asks them: one program for all, because linking each by itself with all that a page needs took
//! longer than most of them run. `cargo test --workspace --test pages NAME::` runs one file's.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

#[path = "../common/mod.rs"]
mod common;

mod agreed;
mod bench;
mod contract_bench;
mod contract_jobs;
mod contract_shop;
mod contracts;
mod customers_page;
mod dent_form;
mod doors;
mod hand_back;
mod in_inches;
mod learning;
mod links;
mod other_work;
mod own_data;
mod refused;
mod second_factor;
mod shop_forms;
mod states;
mod tablet;
mod two_tablets;
mod unread;
mod uploads;
mod voice;
