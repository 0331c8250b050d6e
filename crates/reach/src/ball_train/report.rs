//! A train of balls with its drive as methods: sizes, forces, minutes, risk, and why.

use super::*;
use units::text;
use units::text::{mm, newtons};

impl Train {
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
        let force = working.at_hand(
        case,
        "F = F(wall)·part·[(tan α + μ)/(1 − μ tan α) + μ], the part of the whole force that the share of the dent left by the hardest ball asks (less where blows help); ball on a dent's flank with Coulomb friction on both walls",
        &[friction],
        |x| axial_over_radial(angle, x[0].clamp(0.0, 0.6)) * if scale.is_finite() { scale } else { 1.0 },
    );
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
            "balls {}, {} from {}: from the {} left under the dent to the bore of {}; the hardest step asks {} of {}.",
            Text::list(&sizes),
            drive.words,
            access.path.entry.name,
            mm(case.passage_mm(), 1),
            mm(case.bore_mm(), 1),
            newtons(hardest.drive_n, 0),
            newtons(drive.limit_n, 0)
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
        let stays = (case.bore_mm() - size + sprung_left - BUFFED_OUT_MM).max(0.0);
        if stays > 0.0 {
            because += text!(" About {} stay after the last ball.", mm(stays + BUFFED_OUT_MM, 1));
        }
        if !missing.is_empty() {
            let lacking: Vec<_> = missing.iter().map(|b| mm(*b, 2)).collect();
            because += text!(" The rack has no ball of {}.", Text::list(&lacking));
        }
        let balls = missing.iter().map(|ball| ToolPiece {
            body: ToolBody::Ball { diameter_mm: *ball },
            because: text!(
                "the next ball on the rack is too large a step for {}, or there is none up to {}",
                newtons(drive.limit_n, 0),
                mm(size, 2)
            ),
        });
        let pieces: Vec<ToolPiece> = balls.chain(drive.make.clone()).collect();
        let tool =
            if pieces.is_empty() { ToolChoice::Rack { tools } } else { ToolChoice::ToMake { make: ToolToMake { pieces }, with: tools } };
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
                method.after = after.clone();
                method.train = steps.iter().map(|s| s.0.clone()).collect();
                method
            })
            .collect()
    }
}
