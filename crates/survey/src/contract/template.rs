//! Empty tables and an example of a contract file, to begin with.

use super::instruments::{DENTS, DONE, INSTRUMENTS};
use super::table::Column;

/// An example of CONTRACT.toml.
const EXAMPLE: &str = r#"# A contract. Every figure here is an example: write your own.
trueround_contract = 1
customer = "Name of the school district"
budget = "$24,000"              # tax included
starts = "2026-06-08"
# today = "2026-07-13"          # the first day that is planned now; what was done before stands in `done`
deadline = "2026-08-14"         # the last day of work
likelihood = "80 %"             # how likely all benches are to be done by then
minimum = "play"                # what an instrument with a must has to reach: play, good or beautiful
holidays = ["2026-06-19", "2026-07-03"]
instruments = "instruments.csv"
dents = "dents.csv"
# done = "done.csv"
# rack = "rack.toml"
# shop = "shop.toml"

[points]                        # what it is worth to the customer, times 1, 2 or 3 for low, usual or high priority
play = 60                       # common practice, no source
good = 80
beautiful = 85

[spread]                        # how far all of it may be off together, one standard deviation; common practice, no source
person = "10 %"                 # a person's pace over the whole contract
contract = "8 %"                # what the surveys say

[[bench]]
id = "bench 1"
person = "Name"
hours = "6 h"                   # a day, for this contract
begins = "8:00"
days = ["mon", "tue", "wed", "thu", "fri"]
off = ["2026-07-20 to 2026-07-24"]
pace = 1.0                      # time taken over the shop's standard; 1.6 for an apprentice
skills = ["dents", "soldering", "valves", "finish"]
"#;

/// The files to begin with: names and texts.
pub fn templates() -> Vec<(&'static str, String)> {
    vec![
        ("contract.toml", EXAMPLE.to_owned()),
        ("instruments.csv", empty(INSTRUMENTS, &[])),
        ("dents.csv", empty(DENTS, &["distance (in)", "depth (in)", "length (in)", "width (in)", "crack_length (in)"])),
        ("done.csv", empty(DONE, &[])),
    ]
}

/// The line of column names, with notes before it on what stands in each; `units` are the columns with a unit in their head.
fn empty(columns: &[Column], units: &[&str]) -> String {
    let mut text: String =
        columns.iter().map(|c| format!("# {}: {}{}\n", c.name, c.about, if c.needed { "; needed" } else { "" })).collect();
    let head = |c: &Column| units.iter().find(|u| u.split(" (").next() == Some(c.name)).map_or(c.name.to_owned(), |u| (*u).to_owned());
    text += &columns.iter().map(head).collect::<Vec<_>>().join(",");
    text.push('\n');
    text
}
