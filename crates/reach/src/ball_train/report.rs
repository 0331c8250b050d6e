//! A train of balls with its drive as methods: sizes, forces, minutes, risk, and why.

use super::*;
use crate::practice::MAY_STAY_MM;
use crate::stands::{self, Led, Load};
use crate::strokes::Working;
use crate::way::rope_mm;
use crate::way::{self, Drawn, Leads, STUCK_SPOILS, WayForce};
use crate::way_force::STIFFNESS_SD;
use units::text::{mm, newtons};
use units::{Figure, text};

const AT_DENT: &str = "F(dent) = F(wall)·part·[(tan α + μ)/(1 − μ tan α) + μ], the part of the whole force that the share of the dent left by the hardest ball needs (less where blows help); ball on a dent's flank with Coulomb friction on both walls";
const BACK_OFF: &str = "F = F(wall)·part·2μ·e^(μθ), stuck at the dent's deepest; θ all bends on its way back";
const BACK_OVER: &str = "F = F(wall)·part·[(tan β + μ)/(1 − μ tan β) + μ]·e^(μθ), β on what has sprung back behind the hardest ball; θ all bends on its way back";

impl Train {
    /// What a ball of the train bears, and how it is led.
    fn load(&self, drive: &Drive) -> Load {
        let force_n = self.steps.iter().map(|s| s.0.drive_n).fold(0.0, f64::max);
        let led = match drive.leads {
            Leads::Cable => Some(Led::Cord { cord_mm: rope_mm(drive.limit_n).ceil() }),
            Leads::PushRod | Leads::Shaft => Some(Led::Screwed),
            // It lies loose before the column.
            Leads::DriverBalls => None,
        };
        Load { led, ..Load::steady(force_n, 0.0) }
    }

    /// Why a ball that would be made cannot be led so, where one cannot.
    pub(super) fn cannot_be_led(&self, drive: &Drive) -> Option<Text> {
        let load = self.load(drive);
        self.missing_mm.iter().find_map(|ball| stands::fails(&ToolBody::Ball { diameter_mm: *ball }, &load))
    }

    /// The train as methods.
    pub(super) fn methods(&self, case: &Case, access: &Access, drive: &Drive) -> Vec<Method> {
        let Self { steps, missing_mm: missing, eased, blows } = self;
        let Some(last) = steps.last() else { return Vec::new() };
        let size = last.0.ball_mm;
        let Some((at, (hardest, _, does))) = steps.iter().enumerate().max_by(|a, b| a.1.0.drive_n.total_cmp(&b.1.0.drive_n)) else {
            return Vec::new();
        };
        let after: Vec<_> = access.blocking(size).into_iter().map(|d| case.survey.dents[d].id.clone()).collect();
        let (depth, half) = (case.depth_mm(), case.half_width_mm());
        let open_before = case.passage_mm() + steps[..at].iter().map(|s| s.2.stays_mm).sum::<f64>();
        let lift = (hardest.ball_mm - open_before).max(0.0);
        // The hardest ball's force, with the wall's, the law's and the friction's uncertainty.
        let ball = hardest.ball_mm;
        let angle = contact_angle_rad(ball, lift, depth, half);
        let working = with_lift(case, head(ball), does.stays_mm.max(1e-3));
        let scale = hardest.drive_n / (working.force_n * axial_over_radial(angle, FRICTION.0)).max(1e-9);
        let friction = Known::new("friction, greased steel on brass", FRICTION.0, FRICTION.1, Unit::One, Origin::Handbook);
        let scaled = if scale.is_finite() { scale } else { 1.0 };
        let axial = |head_n: f64, mu: f64| head_n * scaled * axial_over_radial(angle, mu.clamp(0.0, 0.6));
        let dent_n = working.led(case, AT_DENT, std::slice::from_ref(&friction), |n, x| axial(n, x[0]));
        let stiffness = Known::new("the shaft's stiffness over that of its wires", 1.0, STIFFNESS_SD, Unit::One, Origin::Assumed);
        let mut more = vec![friction];
        more.extend((drive.leads == Leads::Shaft).then_some(stiffness));
        let stiffer = |x: &[f64]| drive.carrier.stiffer(x.get(1).copied().unwrap_or(1.0));
        let force = working.led(case, way::formula(drive.leads), &more, |n, x| drive.way.at_hand(stiffer(x), axial(n, x[0]), x[0]));
        let way = self.way(case, drive, &more[..1], (lift, hardest.ball_mm, does), &working, dent_n);
        let sticks = way.back.sticks(&force, drive.limit_n);
        let mut tools: Vec<ToolId> = steps.iter().filter_map(|s| s.1.clone()).collect();
        tools.extend(drive.tools.iter().cloned());
        let mut seen = Vec::new();
        tools.retain(|t| {
            if seen.contains(t) {
                false
            } else {
                seen.push(t.clone());
                true
            }
        });
        let sizes: Vec<_> = steps.iter().map(|s| mm(s.0.ball_mm, 2)).collect();
        let mut because = text!(
            "balls {}, {} from {}. They open the {} left under the dent to the bore of {}. The hardest step needs {}",
            Text::list(&sizes),
            drive.words,
            access.path.entry.name,
            mm(case.passage_mm(), 1),
            mm(case.bore_mm(), 1),
            self.asks(case, drive, (hardest.drive_n, &force), &way)
        );
        if *eased > 0 {
            because += format!(
                " {eased} of the steps {} eased with about {blows:.0} light blows of a dent hammer round the dent's rim while the ball is driven.",
                if *eased == 1 { "is" } else { "are" }
            );
        }
        // What the last ball leaves, the wall sprung back. With the ball under it the wall is planished down round the dent as the
        // steps are eased, where a hammer has room and few enough blows do it.
        let sprung = (size - case.passage_mm() - steps.iter().map(|s| s.2.stays_mm).sum::<f64>()).max(0.0);
        let over_ball = with_lift(case, Head::new(size, Hold::Stake, Motion::Places), sprung.max(1e-3)).strokes;
        let at_one_place = case.force_n() * last.2.part * sprung / 1000.0 / WORK_OF_A_BLOW_J;
        let planish = over_ball.strokes / over_ball.passes.max(1.0) * at_one_place.max(1.0);
        let planished = can_ease(case) && sprung > 0.0 && planish <= MOST_PLANISHING_BLOWS;
        if planished {
            because += text!(
                " The {} that spring back are planished over the last ball with about {} light blows.",
                mm(sprung, 2),
                format!("{:.0}", planish.ceil())
            );
        }
        // With turning and looking. Common practice, no source.
        let planishing_min = if planished { 1 + (planish / PLANISHED_A_MINUTE) as usize } else { 0 };
        let sprung_left = if planished { 0.0 } else { sprung };
        let stays = (case.bore_mm() - size + sprung_left - MAY_STAY_MM).max(0.0);
        if stays > 0.0 {
            because += text!(" About {} stay after the last ball.", mm(stays + MAY_STAY_MM, 1));
        }
        if !missing.is_empty() {
            let lacking: Vec<_> = missing.iter().map(|b| mm(*b, 2)).collect();
            because += text!(" The rack has no ball of {}.", Text::list(&lacking));
        }
        let load = self.load(drive);
        let balls = missing.iter().map(|ball| ToolPiece {
            load: Some(load),
            body: ToolBody::Ball { diameter_mm: *ball },
            because: text!(
                "the next ball on the rack is too large a step for {}, or there is none up to {}",
                newtons(drive.limit_n),
                mm(size, 2)
            ),
        });
        let pieces: Vec<ToolPiece> = balls.chain(drive.make.clone()).collect();
        let tool =
            if pieces.is_empty() { ToolChoice::Rack { tools } } else { ToolChoice::ToMake { make: ToolToMake { pieces }, with: tools } };
        let first = steps.first().map_or(size, |s| s.0.ball_mm);
        let contact = crate::contact::Place::first(case, access).train(first, size);
        drive
            .opens
            .iter()
            .map(|opens| {
                let mut method = case.method(
                    MethodKind::BallTrain,
                    tool.clone(),
                    size,
                    Some(access),
                    opens.clone(),
                    force.clone(),
                    drive.limit_n,
                    because.clone(),
                );
                method.minutes = crate::practice::minutes(
                    MethodKind::BallTrain,
                    case.assessment,
                    case.bend_mm.is_some(),
                    steps.len() + 2 * eased + planishing_min,
                );
                method.finish_quality = (method.finish_quality * (1.0 - stays / depth)).clamp(0.05, 0.99);
                method.stays_mm = (case.bore_mm() - size + sprung_left).max(0.0);
                method.after = after.clone();
                method.contact = Some(contact.clone());
                method.train = steps.iter().map(|s| s.0.clone()).collect();
                method.risk = 1.0 - (1.0 - method.risk) * (1.0 - STUCK_SPOILS * sticks);
                method.way = Some(way.clone());
                if *eased > 0 || planished {
                    method.tool_forces.push(crate::ToolForce::Hammer);
                }
                method
            })
            .collect()
    }

    /// How the force goes along the tube. On its way back the ball meets what has sprung back behind it.
    fn way(
        &self,
        case: &Case,
        drive: &Drive,
        friction: &[Known],
        (lift, ball, does): (f64, f64, &Lifted),
        working: &Working,
        dent_n: Figure,
    ) -> WayForce {
        let comes_out = drive.far.as_ref().is_some_and(|f| f.1 >= self.last_mm() + RUN_ROOM_MM);
        let (depth, half) = (case.depth_mm(), case.half_width_mm());
        let sprung = (lift - does.stays_mm).max(0.0);
        // Past the dent it has what sprang back before it. Stuck in it, the slope that it climbed helps it back; at the dent's deepest, where
        // there is none, it has the friction of both walls against it.
        let back_angle = if comes_out { 0.0 } else { contact_angle_rad(ball, sprung, depth, half) };
        let radial = case.force_n() * does.part / working.force_n.max(1e-9);
        let radial = if radial.is_finite() { radial } else { 1.0 };
        let back_n = working.led(case, if comes_out { BACK_OFF } else { BACK_OVER }, friction, |n, x| {
            let over = axial_over_radial(back_angle, x[0].clamp(0.0, 0.6));
            drive.back.at_hand(drive.back_by, n * radial * over, x[0])
        });
        let presses = drive.way.presses(drive.carrier, dent_n.value, FRICTION.0);
        WayForce {
            by: drive.leads,
            length_mm: drive.way.length_mm(),
            turned_deg: drive.way.turned_rad().to_degrees(),
            presses_n_per_mm: presses.map(|p| p.0),
            coils: drive.way.coils(drive.carrier, dent_n.value, FRICTION.0),
            dent_n,
            back: Drawn { hand_n: back_n, limit_n: drive.limit_n, must: !comes_out, with: drive.back_with.clone() },
        }
    }

    /// "308 N of 350 N"; round bends what the dent asks, what the hand gives, why it is more, and what it does to the wall on the way;
    /// and what draws the ball back.
    fn asks(&self, case: &Case, drive: &Drive, (dent_n, hand): (f64, &Figure), way: &WayForce) -> Text {
        let mut said = if hand.value < 1.01 * dent_n {
            text!("{} of {}", newtons(dent_n), newtons(drive.limit_n))
        } else {
            text!(
                "{} at the dent and {} at the hand, of {}. Why more at the hand: {} (friction {} to {})",
                newtons(dent_n),
                newtons(hand.value),
                newtons(drive.limit_n),
                way::led_round(drive.leads, way.turned_deg, way.coils, drive.far.as_ref().map(|f| f.0.as_str())),
                format!("{:.2}", FRICTION.0 - FRICTION.1),
                format!("{:.2}", FRICTION.0 + FRICTION.1)
            )
        };
        if hand.high > drive.limit_n {
            said += text!(". With the most friction and the hardest wall it needs {}: clean and grease the way well", newtons(hand.high));
        }
        if let (Leads::Cable, Some(presses)) = (drive.leads, way.presses_n_per_mm) {
            let marks = way::rope_marks_from_n_per_mm(way::rope_mm(drive.limit_n), case.flow().value, case.e_mpa());
            if presses > marks {
                said += text!(
                    ". It presses {} on the inside of the bend. A bare wire rope marks this wall from {}: run it in a plastic sleeve",
                    units::text::newtons_per_mm(presses),
                    units::text::newtons_per_mm(marks)
                );
            }
        }
        said + ". " + way.back.words()
    }
}
