//! A part of the site, reviewed and signed for by itself.

use super::*;

#[test]
fn a_zone_is_reviewed_and_signed_by_itself_while_the_rest_still_waits() {
    // Before: four things stand in the way of the whole evening, none of them in the car park, which hangs
    // on an amplifier of its own.
    let mut desk = reviewing();
    desk.keys("v");
    assert_eq!(
        rows(&desk),
        [
            "sign for in the way",
            "> the whole site 4",
            "amplifier A1 4",
            "amplifier A2 nothing",
            "zone Hall 2",
            "zone Lobby 1",
            "zone Balcony 1",
            "zone Car park nothing",
        ]
    );
    // Letters of a name, or Up and Down; Esc leaves all as it was.
    desk.keys("LOB");
    assert_eq!(row(&desk), "> zone Lobby 1");
    desk.press(Key::Down).press(Key::Up).press(Key::Up);
    assert_eq!(
        (row(&desk).as_str(), desk.typed().as_deref()),
        ("> zone Hall 2", Some("zone Hall"))
    );
    desk.keys("\x1b");
    assert!(rows(&desk)[0].starts_with("in the way of sign-off: 4"));

    // The lobby is refused, with what stands in the way of it alone, and nothing is recorded.
    let before = desk.log_len();
    desk.keys("vlobby\n");
    assert!(row(&desk).contains("L-1"), "{}", desk.screen());
    desk.press(Key::Home);
    assert_eq!(
        rows(&desk)[0],
        "> in the way of zone Lobby: 1, worst first; Enter here signs when 0 are"
    );
    assert!(rows(&desk)[1].contains("L-1"), "{}", desk.screen());
    assert!(!desk.screen().contains("H-2"), "{}", desk.screen());
    desk.press(Key::Enter);
    assert_eq!(
        desk.message(),
        "not signed: 1 stands in the way of zone Lobby, first L-1"
    );
    assert_eq!((desk.typed(), desk.log_len()), (None, before));

    // The car park is signed for, and that is said before, while and after.
    desk.keys("vcar park\n");
    let header = |desk: &Desk| desk.screen().lines().next().unwrap().to_owned();
    // Where there is no room for all, what it is a review of and of which building.
    assert!(header(&desk).starts_with(" Old seed hall   review of zone Car park "));
    assert_eq!(
        rows(&desk)[0],
        "> nothing stands in the way of zone Car park: Enter signs"
    );
    desk.keys("\nN. Engineer, engineer");
    assert!(
        desk.screen()
            .contains(" sign for zone Car park: name, role> N. Engineer, engineer")
    );
    desk.press(Key::Enter);
    let sealed = seals(desk.session.site());
    assert_eq!(sealed.len(), 1);
    assert_eq!(sealed[0].seal.scope, Ref::Zone("Car park".into()));
    assert!(sealed[0].seal.facts.iter().any(|it| it.0 == line("C-1")));
    assert!(!sealed[0].seal.facts.iter().any(|it| it.0 == line("L-1")));
    assert!(
        desk.message()
            .contains("signed for zone Car park by N. Engineer, engineer"),
        "{}",
        desk.message()
    );
    let signed = "signed 14:07 for zone Car park by N. Engineer: nothing changed since";
    assert_eq!(row(&desk), format!("> {signed}"));
    assert!(header(&desk).contains(" part signed "), "{}", header(&desk));
    // The list has it, and the whole site is as far from its signature as before.
    desk.keys("v");
    assert!(
        row(&desk).starts_with("> zone Car park nothing signed 14:07"),
        "{}",
        row(&desk)
    );
    desk.keys("whole\n");
    assert!(
        rows(&desk)[0].starts_with("in the way of sign-off: 4"),
        "{}",
        rows(&desk)[0]
    );
}

#[test]
fn what_is_read_elsewhere_leaves_the_seal_of_a_part_whole_and_what_is_read_in_it_breaks_it() {
    let mut desk = reviewing();
    for part in ["car park", "amplifier a2"] {
        desk.keys(&format!("v{part}\n\nN. Engineer, engineer\n"));
    }
    assert_eq!(seals(desk.session.site()).len(), 2);
    desk.keys("gs/l-2\n555");
    assert!(
        !desk.screen().contains("breaks the seal"),
        "{}",
        desk.screen()
    );
    desk.keys("\n\n");
    assert!(
        desk.message().starts_with("recorded 14:"),
        "{}",
        desk.message()
    );
    assert!(seals(desk.session.site()).iter().all(|it| it.is_intact()));
    desk.keys("gs/c-1\n400");
    assert!(
        desk.screen().contains("signed: this breaks the seal>"),
        "{}",
        desk.screen()
    );
    desk.keys("\n\n");
    let said = desk.message();
    let words = "2 SEALS BROKEN: C-1 changed since it was signed; recorded ";
    assert!(said.starts_with(words), "{said}");
    assert!(!desk.screen().lines().next().unwrap().contains("signed"));
}

#[test]
fn the_part_is_remembered_and_one_that_there_is_not_is_no_part() {
    let mut desk = reviewing();
    desk.keys("vcellar\n");
    assert!(
        desk.message()
            .starts_with("no amplifier or zone is called cellar")
    );
    assert_eq!(desk.typed().as_deref(), Some("cellar"));
    desk.keys("\x1b").keys("vlobby\nq");
    let resume = Resume::from_text(desk.remembered.as_deref().unwrap()).unwrap();
    let again = |part: Ref| {
        let resume = Resume {
            part: Some(part),
            ..resume.clone()
        };
        let site = desk.session.site().clone();
        Desk::with(site, opening("otherotherotheroo"), Some(resume))
    };
    let lobby = again(resume.part.clone().unwrap());
    assert!(
        lobby
            .screen()
            .contains("review of zone Lobby, 1 in the way"),
        "{}",
        lobby.screen()
    );
    // Nothing stands in the way of a zone that has gone: it is not to be signed for.
    let gone = again(Ref::Zone("Cellar".into()));
    assert!(
        gone.screen().contains("review, 4 in the way"),
        "{}",
        gone.screen()
    );
    // Whoever only reads may look at a part, and signs none.
    let mut reads = opening("deskdeskdeskdesk");
    reads.access = Access::ReadsOnly("engineer B has it open".to_owned());
    let mut desk = Desk::with(evening(), reads, None);
    desk.keys("gvvcar park\n\n");
    assert!(
        desk.message().starts_with("not recorded, read only"),
        "{}",
        desk.message()
    );
}

#[test]
fn from_a_row_of_a_part_one_ticks_nothing_outside_of_it() {
    let mut pen = Pen::on(hall());
    for line in ["H-1", "H-2", "L-1", "L-2", "B-1", "C-1"] {
        pen.read_as_drawn(line);
    }
    let mut desk = Desk::at(pen.site);
    desk.keys("gvvlobby\n");
    for _ in 0..30 {
        if row(&desk).contains("joints closed") {
            break;
        }
        desk.press(Key::Down);
    }
    assert!(row(&desk).contains("joints closed"), "{}", desk.screen());
    desk.press(Key::Enter);
    desk.keys(" ");
    let Some(Do::Tick(tick)) = desk.sent.last().map(|batch| &batch[0].what) else {
        panic!("{}", desk.screen());
    };
    let lobby = [line("L-1"), line("L-2")];
    assert!(!tick.of.is_empty());
    assert!(tick.of.iter().all(|of| lobby.contains(of)), "{:?}", tick.of);
}
