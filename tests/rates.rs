//! Confirmed causes counted beside the default rates, and the design held against its limits.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;

use desk::{hall, site_of};
use linewright::analysis::{Analyst, DesignCheck, LearnedRate, learned_rates};
use linewright::site::{Design, Elements, Figure, FigureDesign, Log, Ref, Site, Stamp};
use pen::Pen;

fn rate(site: &Site, figure: Figure) -> LearnedRate {
    let analyst = Analyst::new(site);
    let all = learned_rates(site, analyst.lines());
    all.into_iter().find(|it| it.figure == figure).unwrap()
}

/// The suspects' figures of a line as a whole: the probability of a fault by its name.
fn probability(site: &Site, line: &str, fault: &str) -> f64 {
    let mut analyst = Analyst::new(site);
    analyst.settle(site, None);
    let at = site.plan().line(&line.into()).unwrap();
    let hints = &analyst.suspects(at).unwrap().hints;
    hints
        .iter()
        .find(|hint| hint.fault.as_str() == fault)
        .map_or(0.0, |hint| hint.probability.get())
}

#[test]
fn nothing_looked_at_leaves_every_rate_as_it_was_set() {
    let site = hall();
    let rates = learned_rates(&site, Analyst::new(&site).lines());
    assert_eq!(rates.len(), 11);
    assert!(
        rates
            .iter()
            .all(|it| it.rate == it.set && it.looked_at == 0)
    );
}

#[test]
fn a_rate_is_the_mean_of_fifty_looks_and_those_that_were_made() {
    let mut pen = Pen::on(hall());
    // All five loudspeakers and five runs of H-1 found well.
    pen.read_as_drawn("H-1");
    pen.hear_all("H-1");
    // On B-1 a tap was wrong and is set right; it was not listened to yet.
    pen.read("B-1", "240");
    pen.repair("B-1", "LS-3 tap 12 to 6 W", Some("wrong-tap"));
    let tap = rate(&pen.site, Figure::RateWrongTap);
    assert_eq!((tap.confirmed, tap.looked_at), (1, 6));
    assert_eq!(tap.rate, (50.0 * 0.015 + 1.0) / (50.0 + 6.0));
    // A loudspeaker whose tap was wrong had no open coil: it was looked at for that as well.
    let coil = rate(&pen.site, Figure::RateLoudspeakerOpen);
    assert_eq!((coil.confirmed, coil.looked_at), (0, 6));
    let open = rate(&pen.site, Figure::RateLineOpen);
    assert_eq!((open.confirmed, open.looked_at), (0, 5));
    assert_eq!(open.rate, 50.0 * 0.004 / 55.0);
    // Nothing on H-1 is a control.
    assert_eq!(rate(&pen.site, Figure::RateControlDown).looked_at, 0);
    // Read and heard well now, its six are looked at, the one with the cause among them.
    pen.read_as_drawn("B-1");
    pen.hear_all("B-1");
    let tap = rate(&pen.site, Figure::RateWrongTap);
    assert_eq!((tap.confirmed, tap.looked_at), (1, 11));
}

#[test]
fn looks_are_places_of_a_list_and_no_kind_has_fewer_than_its_neighbours() {
    let mut pen = Pen::on(hall());
    // B-1: a tap wrong, then the joint before it; all six loudspeakers and runs heard well at last.
    pen.repair("B-1", "LS-3 tap 12 to 6 W", Some("wrong-tap"));
    pen.repair("B-1", "LS-3 joint remade", Some("bad-joint"));
    let looked = |site: &Site, figure| rate(site, figure).looked_at;
    for figure in [
        Figure::RateLoudspeakerOpen,
        Figure::RateWrongTap,
        Figure::RateLoudspeakerShort,
        Figure::RateSecondaryShort,
        Figure::RateNoTransformer,
        Figure::RateLineOpen,
        Figure::RateLineShort,
        Figure::RateBadJoint,
    ] {
        assert_eq!(looked(&pen.site, figure), 1);
    }
    assert_eq!(looked(&pen.site, Figure::RateUnlistedLoad), 0);
    // A cause struck is no look.
    let last = pen.site.log().entries().last().unwrap().id.clone();
    pen.void(&last);
    assert_eq!(looked(&pen.site, Figure::RateLineOpen), 0);
    pen.read_as_drawn("B-1");
    pen.hear_all("B-1");
    for figure in [Figure::RateWrongTap, Figure::RateLoudspeakerOpen] {
        assert_eq!(looked(&pen.site, figure), 6);
    }
    // Beta: the posterior mean lies between the prior's and the share that was found, 1 of 6.
    let tap = rate(&pen.site, Figure::RateWrongTap);
    assert!(tap.set < tap.rate && tap.rate < 1.0 / 6.0, "{tap:?}");
    let open = rate(&pen.site, Figure::RateLoudspeakerOpen);
    assert!(open.rate < open.set, "{open:?}");
}

#[test]
fn a_building_with_old_joints_is_diagnosed_as_one_and_the_switch_turns_it_off() {
    let with = |joints: usize, learn: f64| {
        let mut elements = Elements::from_iter(hall().elements().rows());
        elements.add(
            Ref::Figure("learn_rates".to_owned()),
            Stamp("i-x".to_owned()),
            Design::Figure(FigureDesign { value: learn }),
        );
        let mut pen = Pen::on(Site::new("s-x".into(), elements, Log::default()));
        for line in ["H-1", "H-2", "L-1", "L-2"].iter().take(joints) {
            pen.repair(line, "joint remade", Some("bad-joint"));
        }
        // 30 ohm more than C-1 should read: a joint, or a tolerance.
        pen.read("C-1", "533");
        probability(&pen.site, "C-1", "bad-joint")
    };
    assert!(
        with(4, 1.0) > 3.0 * with(0, 1.0),
        "{} {}",
        with(4, 1.0),
        with(0, 1.0)
    );
    assert_eq!(with(4, 0.0), with(0, 0.0));
}

#[test]
fn rates_kept_up_entry_by_entry_are_those_of_a_fresh_start() {
    let mut pen = Pen::on(hall());
    let mut kept = Analyst::new(&pen.site);
    kept.settle(&pen.site, None);
    pen.repair("L-1", "joint remade", Some("bad-joint"));
    pen.read_as_drawn("L-1");
    pen.hear_all("L-1");
    pen.read("C-1", "533");
    let entries: Vec<_> = pen.site.log().entries().to_vec();
    for entry in &entries {
        let touched = pen.site.log().touched(entry);
        kept.touched(&pen.site, &touched);
    }
    kept.settle(&pen.site, None);
    let mut fresh = Analyst::new(&pen.site);
    fresh.settle(&pen.site, None);
    let at = pen.site.plan().line(&"C-1".into()).unwrap();
    assert_eq!(kept.suspects(at), fresh.suspects(at));
}

// ---- the design, before anyone travels ----

#[test]
fn outputs_planned_past_their_headroom_are_named() {
    // 12 of 10 W: 120 W planned on 140 W is past 80 %, on 110 W past the rating, on 160 W neither.
    for (rated, found) in [(140, Some(false)), (110, Some(true)), (160, None)] {
        let mut schedule = String::from("amplifier,rated_w,zone,line,loudspeaker,tap_w,run_m\n");
        for node in 0..12 {
            schedule.push_str(&format!("A1,{rated},Hall,L-1,LS-{node},10,0\n"));
        }
        let site = site_of(&schedule, "x");
        let check = DesignCheck::of(&site, &Analyst::new(&site));
        assert_eq!(check.planned.first().map(|it| it.over), found, "{rated}");
    }
}

#[test]
fn a_far_end_under_the_limit_names_the_smallest_standard_cable_that_would_do() {
    // 100 V, 100 W at 500 m: the load is 100 ohm, a loop of 2 x 0.5 km x R. The level is about
    // 20 lg (100 / (100 + R)): 1.5 mm2 12.1 ohm, -0.99 dB; 0.5 mm2 36 ohm, -2.67 dB; 0.75 mm2
    // 24.5 ohm, -1.90 dB. (IEC 60228)
    let schedule = "amplifier,rated_w,zone,line,loudspeaker,tap_w,run_m,cable\n\
                    A1,240,Hall,L-1,LS-1,100,500,0.5 mm2\n\
                    A1,240,Hall,L-2,LS-1,100,500,1.5 mm2\n";
    let site = site_of(schedule, "x");
    let check = DesignCheck::of(&site, &Analyst::new(&site));
    assert_eq!(check.far_ends.len(), 1);
    let far = &check.far_ends[0];
    assert_eq!(site.plan().lines[far.line].label, "L-1");
    let wanted = 20.0 * (100.0f64 / 136.0).log10();
    assert!(
        (far.level.get() - wanted).abs() < 0.05,
        "{} {wanted}",
        far.level.get()
    );
    let (cable, level) = far.would_do.as_ref().unwrap();
    assert_eq!(cable, "0.75 mm2");
    assert!((level.get() - 20.0 * (100.0f64 / 124.5).log10()).abs() < 0.05);
}

#[test]
fn one_dead_of_many_is_lost_in_the_tolerance_and_one_of_few_is_not() {
    // One of n equal loudspeakers changes the load by 1/n, less the idle transformer; twice the spread
    // of a reading is about 2 sqrt(0.05^2/3 + 0.06^2 + 0.05^2/n) = 0.14 for many.
    for (count, lost) in [(3, 0), (4, 0), (12, 12), (20, 20)] {
        let mut schedule = String::from("amplifier,rated_w,zone,line,loudspeaker,tap_w,run_m\n");
        for node in 0..count {
            schedule.push_str(&format!("A1,600,Hall,L-1,LS-{node},6,2\n"));
        }
        let site = site_of(&schedule, "x");
        let check = DesignCheck::of(&site, &Analyst::new(&site));
        assert_eq!(check.lost.first().map_or(0, |it| it.lost), lost, "{count}");
    }
}
