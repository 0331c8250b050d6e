//! The rack, from TOML or CSV. A tool that makes no sense is told and left out; the rest stays in use.

mod reader;
mod sizes;
mod table;
mod tool;

pub(crate) use sizes::SIZES;
pub use table::read_rack_csv;
pub(crate) use table::rows;

use crate::entries;
use crate::problem::Problem;
use crate::rack_file::{HandsEntry, ToolEntry};
use crate::words::nearest;
use reach::Rack;
use reader::{HAND_PUSH_N, LEAN_N, Reader};
use toml::de::DeValue;

pub use reader::MAX_RACK_BYTES;

/// Reads a rack from TOML: the tools that can be used, and the problems of the others.
pub fn read_rack(text: &str) -> (Rack, Vec<Problem>) {
    let mut reader = Reader::new(text);
    let table = match entries::table(text, MAX_RACK_BYTES, "a rack", "trueround_rack = 1") {
        Ok(table) => table,
        Err(problems) => return (empty(), problems),
    };
    let (mut tools, mut hands, mut version) = (Vec::new(), HandsEntry::default(), false);
    for (key, value) in table {
        let (span, name) = (key.span(), key.into_inner());
        match (name.as_ref(), value.get_ref()) {
            ("trueround_rack", DeValue::Integer(n)) if n.as_str() == "1" => version = true,
            ("trueround_rack", _) => {
                version = true;
                reader.problem(
                    Some(&span),
                    "trueround_rack",
                    "this version of a rack is not known to this program",
                    "write `trueround_rack = 1`",
                );
            }
            ("units", DeValue::String(unit)) => reader.default_unit(unit, &value.span()),
            ("hands", _) => hands = entries::entry(text, "hands", value, &mut reader.problems).unwrap_or_default(),
            ("tool", DeValue::Array(_)) => tools.push(value),
            ("tool", _) => reader.problem(Some(&span), "tool", "`tool` is not a list", "begin each tool with [[tool]], with two brackets"),
            (other, _) => {
                let known = ["trueround_rack", "units", "hands", "tool"];
                let hint = nearest(other, known.into_iter())
                    .map_or(format!("a rack has {}", known.join(", ")), |n| format!("did you mean `{n}`?"));
                reader.problem(Some(&span), other, format!("there is no `{other}` in a rack"), hint);
            }
        }
    }
    if !version {
        reader.problem(
            Some(&(0..0)),
            "trueround_rack",
            "the file does not say that it is a rack",
            "begin it with the line `trueround_rack = 1`",
        );
    }
    for tool in tools {
        let DeValue::Array(list) = tool.into_inner() else { continue };
        for value in list {
            let span = value.span();
            let id = value.get_ref().get("id").and_then(|v| v.get_ref().as_str().map(str::to_owned));
            let label = id.map_or_else(|| "tool".to_owned(), |id| format!("tool {id}"));
            let before = reader.problems.len();
            let read = entries::entry::<ToolEntry>(text, &label, value, &mut reader.problems);
            // A tool with a field that cannot be read is left out: what it lacks would only repeat that.
            if let Some(e) = read.filter(|_| reader.problems.len() == before) {
                reader.tool(&e, &span);
            }
        }
    }
    reader.finish(&hands)
}

fn empty() -> Rack {
    Rack { tools: Vec::new(), hand_push_n: HAND_PUSH_N, lean_n: LEAN_N }
}

#[cfg(test)]
mod tests {
    use super::*;
    use metal::Fill;
    use reach::ToolBody;

    const RACK: &str =
        "trueround_rack = 1\n\n[[tool]]\nid = \"rod-8\"\nkind = \"straight rod\"\ndiameter = \"5/16 in\"\nlength = \"24 in\"\n";

    #[test]
    fn a_rod_is_read_and_has_its_shank_s_head() {
        let (rack, problems) = read_rack(RACK);
        assert_eq!(problems, []);
        assert_eq!(rack.tools[0].body, ToolBody::StraightRod { diameter_mm: 7.9375, length_mm: 24.0 * 25.4, head_mm: 7.9375 });
        assert_eq!((rack.hand_push_n, rack.lean_n), (HAND_PUSH_N, LEAN_N));
    }

    #[test]
    fn the_further_kinds_are_read_with_their_sizes() {
        let tools = [
            (
                "kind = \"inside burnisher\"\ndiameter = \"9 mm\"\nlength = \"30 cm\"\nhead = \"11 mm\"",
                ToolBody::Burnisher { diameter_mm: 9.0, length_mm: 300.0, head_mm: 11.0 },
            ),
            (
                "kind = \"inside burnisher\"\ndiameter = \"9 mm\"\nlength = \"30 cm\"",
                ToolBody::Burnisher { diameter_mm: 9.0, length_mm: 300.0, head_mm: 9.0 },
            ),
            (
                "kind = \"expanding plug\"\nsmallest = \"15.5 mm\"\nlargest = \"19 mm\"\njaws = \"12 mm\"\nlength = \"140 mm\"\nlimit = \"8 kN\"",
                ToolBody::Expander { smallest_mm: 15.5, largest_mm: 19.0, jaws_mm: 12.0, length_mm: 140.0, limit_n: 8000.0 },
            ),
            ("kind = \"draw ring\"\ndiameter = \"14.42 mm\"", ToolBody::DrawRing { bore_mm: 14.42 }),
            ("kind = \"draw bench\"\nlength = \"800 mm\"\nlimit = \"5 kN\"", ToolBody::DrawBench { length_mm: 800.0, limit_n: 5000.0 }),
            ("kind = \"fill\"\nfill = \"70 °C alloy\"", ToolBody::Fill { fill: Fill::Alloy70 }),
            ("kind = \"fill\"\nfill = \"Pitch\"", ToolBody::Fill { fill: Fill::Pitch }),
        ];
        for (text, body) in tools {
            let (rack, problems) = read_rack(&format!("{RACK}[[tool]]\nid = \"x\"\n{text}\n"));
            assert_eq!(problems, [], "{text}");
            assert_eq!(rack.tools[1].body, body);
        }
        for (bad, line, words) in [
            ("kind = \"fill\"\nfill = \"butter\"", 11, "butter"),
            ("kind = \"fill\"", 9, "what it is is missing"),
            (
                "kind = \"expander\"\nsmallest = \"19 mm\"\nlargest = \"15 mm\"\njaws = \"12 mm\"\nlength = \"140 mm\"\nlimit = \"8 kN\"",
                12,
                "does not open",
            ),
            ("kind = \"draw ring\"\ndiameter = \"14 mm\"\njaws = \"3 mm\"", 12, "has no `jaws`"),
        ] {
            let (_, problems) = read_rack(&format!("{RACK}[[tool]]\nid = \"x\"\n{bad}\n"));
            assert_eq!(problems.len(), 1, "{bad}: {problems:?}");
            assert!(problems[0].line == Some(line) && problems[0].to_string().contains(words), "{bad}: {}", problems[0]);
        }
        let (rack, problems) = read_rack_csv(
            "id,kind,fill,smallest (mm),largest (mm),jaws (mm),length (mm),limit (N)\na,fill,95 °C alloy,,,,,\nb,expander,,15.5,19,12,140,8000\n",
        );
        assert_eq!(problems, []);
        assert_eq!(rack.tools[0].body, ToolBody::Fill { fill: Fill::Alloy95 });
        assert!(matches!(rack.tools[1].body, ToolBody::Expander { jaws_mm, .. } if (jaws_mm - 12.0).abs() < 1e-9));
    }

    #[test]
    fn nonsense_in_one_tool_leaves_the_rest() {
        for (bad, line, words) in [
            ("id = \"x\"\nkind = \"straight rod\"\ndiameter = \"8 mm\"", 9, "no length"),
            ("id = \"x\"\nkind = \"ball\"\ndiameter = \"400 mm\"", 9, "larger than any bore"),
            ("id = \"x\"\nkind = \"ball\"\ndiameter = \"-4 mm\"", 11, "-4"),
            ("id = \"x\"\nkind = \"ball\"\ndiameter = 12", 11, "has no unit"),
            ("id = \"rod-8\"\nkind = \"torch\"", 9, "already"),
            ("id = \"x\"\nkind = \"hammr\"", 10, "hammr"),
            ("id = \"x\"\nkind = \"ball\"\ndiametre = \"12 mm\"", 11, "diametre"),
            ("id = \"x\"\nkind = \"press\"\nlimit = \"12 mm\"", 11, "force"),
            ("kind = \"torch\"", 8, "no id"),
            ("id = \"x\"\nkind = \"torch\"\npower = \"2 kN\"", 11, "kW"),
            ("id = \"x\"\nkind = \"torch\"\npower = \"2 W\"", 11, "power"),
        ] {
            let (rack, problems) = read_rack(&format!("{RACK}[[tool]]\n{bad}\n"));
            assert_eq!(rack.tools.len(), 1, "{bad}");
            assert_eq!(problems[0].line, Some(line), "{bad}: {}", problems[0]);
            assert!(problems[0].to_string().contains(words), "{bad}: {}", problems[0]);
        }
    }

    #[test]
    fn a_tool_is_away_until_a_day() {
        let text = |day: &str| {
            format!(
                "trueround_rack = 1\n[[tool]]\nid = \"r\"\nkind = \"straight rod\"\ndiameter = \"8 mm\"\nlength = \"400 mm\"\naway_until = \"{day}\"\n"
            )
        };
        let (rack, problems) = read_rack(&text("2026-11-27"));
        assert!(problems.is_empty(), "{problems:?}");
        assert_eq!(rack.away_on("2026-11-27").count(), 1);
        assert_eq!(rack.away_on("2026-11-28").count(), 0);
        for wrong in ["Friday", "27.11.2026", "2026-02-30"] {
            let (rack, problems) = read_rack(&text(wrong));
            assert!(
                rack.tools.is_empty() && problems.iter().any(|p| p.field.contains("away_until") && p.line == Some(7)),
                "{wrong}: {problems:?}"
            );
        }
    }

    #[test]
    fn a_size_too_many_is_a_warning() {
        let (rack, problems) = read_rack(&format!("{RACK}[[tool]]\nid = \"t\"\nkind = \"torch\"\nlength = \"3 mm\"\n"));
        assert_eq!(rack.tools.len(), 2);
        assert!(problems[0].warning && problems[0].line == Some(11));
    }

    #[test]
    fn a_press_has_its_travel_or_nobody_has_said() {
        for (more, travel_mm) in [("", None), ("length = \"30 cm\"\n", Some(300.0))] {
            let (rack, problems) = read_rack(&format!("{RACK}[[tool]]\nid = \"p\"\nkind = \"press\"\nlimit = \"2 kN\"\n{more}"));
            assert_eq!(problems, []);
            assert_eq!(rack.tools[1].body, ToolBody::Press { limit_n: 2000.0, travel_mm });
        }
    }

    #[test]
    fn a_torch_has_its_watts_or_nobody_has_said() {
        let torch = |more: &str| read_rack(&format!("{RACK}[[tool]]\nid = \"t\"\nkind = \"torch\"\n{more}"));
        for (more, watts) in [("", None), ("power = \"2 kW\"\n", Some(2000.0)), ("power = \"900 W\"\n", Some(900.0))] {
            let (rack, problems) = torch(more);
            assert_eq!(problems, []);
            assert_eq!(rack.tools[1].body, ToolBody::Torch { watts });
        }
        let (rack, problems) = read_rack_csv("id,kind,power (W)\nt,torch,1500\nu,torch,\n");
        assert_eq!(problems, []);
        let bodies: Vec<_> = rack.tools.iter().map(|t| t.body.clone()).collect();
        assert_eq!(bodies, [ToolBody::Torch { watts: Some(1500.0) }, ToolBody::Torch { watts: None }]);
    }

    #[test]
    fn a_table_of_tools_is_read_row_by_row() {
        let csv = "id,name,kind,diameter (mm),length,head,limit\n\
                   rod-6,six,straight rod,6,400 mm,6 mm,\n\
                   cable,pull cable,cable,,1.8 m,,900 N\n\
                   bad,bad,straight rod,8,,,\n\
                   ball,ball,ball,\"11,66\",,,\n";
        let (rack, problems) = read_rack_csv(csv);
        assert_eq!(rack.tools.iter().map(|t| t.id.0.as_str()).collect::<Vec<_>>(), ["rod-6", "cable", "ball"]);
        assert_eq!(rack.tools[2].body, ToolBody::Ball { diameter_mm: 11.66 });
        assert_eq!(problems.len(), 1);
        assert_eq!((problems[0].line, problems[0].field.as_str()), (Some(4), "tool bad: length"));
    }

    #[test]
    fn what_is_no_rack_is_told() {
        for text in ["", "not toml at all", "x = 1", "\u{0}", "trueround_rack = 2"] {
            let (rack, problems) = read_rack(text);
            assert!(rack.tools.is_empty() && !problems.is_empty(), "{text:?}");
        }
        assert!(!read_rack_csv("").1.is_empty());
        assert!(!read_rack_csv("a,b\n1,2").1.is_empty());
    }

    proptest::proptest! {
        #[test]
        fn no_text_panics(text in ".{0,200}") {
            let _ = read_rack(&text);
            let _ = read_rack_csv(&text);
        }
    }
}
