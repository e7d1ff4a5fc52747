//! A schedule that is read again as a revision.

use super::*;

fn counter() -> impl FnMut() -> EntryId {
    let mut n = 0;
    move || {
        n += 1;
        EntryId(format!("w-{n}"))
    }
}

/// The edits that a revised schedule makes.
fn revised(site: &Site, text: impl AsRef<[u8]>, writer: &str) -> Vec<Entry> {
    let new = read_schedule("s.csv", text.as_ref(), &[], "Test").unwrap();
    let mut next = counter();
    let ids = || EntryId(format!("{writer}{}", next().0));
    revise(site, (new.items, &new.unsaid), ids, now(), "engineer A")
}

#[test]
fn a_blank_of_a_revised_schedule_wipes_out_nothing_that_the_site_knows() {
    let full = "amplifier,output,rated_w,line_v,zone,line,loudspeaker,tap_w,cable,control,dc_block\n\
        A1,1,240,70.7,Hall,L-1,LS-1,6,2.5 mm2,yes,yes\nA1,1,240,70.7,Hall,L-1,LS-2,6,16 AWG,,\n";
    let site = import(full.as_bytes());
    let blank = "amplifier,output,zone,line,loudspeaker,tap_w\n\
        A1,1,Hall,L-1,LS-1,6\nA1,1,Hall,L-1,LS-2,3\n";
    let edits = revised(&site, blank, "a");
    let of: Vec<&str> = edits
        .iter()
        .filter_map(|entry| match &entry.what {
            Do::Edit(edit) => Some(edit.of.id()),
            _ => None,
        })
        .collect();
    assert_eq!(of, ["L-1/LS-2"], "its tap alone");
    let mut site = site;
    site.apply_all(edits);
    let line = &site.plan().lines[0];
    assert_eq!(line.volts.get(), 70.7);
    // What is said counts, a no too.
    let no = full.replace("yes,yes", "no,no").replace("70.7", "100");
    let edits = revised(&site, &no, "b");
    site.apply_all(edits);
    let line = &site.plan().lines[0];
    assert_eq!(line.volts.get(), 100.0);
    let of = Ref::Node("L-1/LS-1".into());
    let Some(Design::Loudspeaker(first)) = site.elements().settled(&of) else {
        panic!("LS-1 is a loudspeaker");
    };
    assert!(!first.control && !first.dc_block);
}

#[test]
fn a_revised_schedule_is_edits_and_no_reading_is_lost() {
    let mut site = import(SMALL.as_bytes());
    record(&mut site, KINDS.as_bytes());
    let before = site.log().entries().len();
    let items = |text: &str| -> Vec<Item> {
        read_schedule("s.csv", text.as_bytes(), &[], "Test")
            .unwrap()
            .items
    };
    assert!(is_revision(&site, &items(SMALL)));
    assert_eq!(revised(&site, SMALL, "a"), []);

    // LS-2 of L-1 is gone, its tap on LS-1 changed, a new one stands before it, the rating is known.
    let text = SMALL
        .replace("A1,1,240,100,Hall,L-1,LS-2,,1.5,1.5|3|6,,,yes,,LS-1,8,16 AWG\n", "")
        .replace(
            "A1,1,240,100,Hall,L-1,LS-1,,6,1.5|3|6,bowl,,,,,12.5,1.5 mm2",
            "A1,1,240,100,Hall,L-1,LS-0,,6,1.5|3|6,bowl,,,,,2,1.5 mm2\nA1,1,240,100,Hall,L-1,LS-1,,3,1.5|3|6,bowl,,,,,,1.5 mm2",
        )
        .replace("A1,2,,70.7", "A1,2,120,70.7");
    let edits = revised(&site, &text, "a");
    let of: Vec<String> = edits
        .iter()
        .map(|e| match &e.what {
            Do::Edit(edit) => edit.of.id().to_owned(),
            _ => panic!(),
        })
        .collect();
    assert_eq!(of, ["L-1/LS-0", "L-1/LS-1", "A1/2", "L-1/LS-2"]);
    for edit in edits {
        site.apply(edit);
    }
    sound(&site);
    let nodes: Vec<&str> = site.plan().lines[0]
        .nodes
        .iter()
        .map(|n| n.label.as_str())
        .collect();
    assert_eq!(nodes, ["LS-0", "LS-1"]);
    assert_eq!(
        site.plan().lines[0].nodes[1].run.unwrap().get(),
        12.5,
        "a blank does not wipe out a known length"
    );
    assert_eq!(site.log().entries().len(), before + 4);
    assert_eq!(revised(&site, &text, "b"), []);
    // What was taken off comes back under its old id.
    for edit in revised(&site, SMALL, "c") {
        site.apply(edit);
    }
    sound(&site);
    let Some(Design::Loudspeaker(back)) = site.elements().settled(&Ref::Node("L-1/LS-2".into()))
    else {
        panic!()
    };
    assert_eq!(back.label, "LS-2");
}

#[test]
fn a_renamed_line_is_known_by_its_label_and_another_building_is_not_a_revision() {
    let site = import(&file("tests/data/cases/practice/schedule.csv"));
    let other = read_schedule(
        "s.csv",
        &file("tests/data/cases/joint/schedule.csv"),
        &[],
        "T",
    );
    assert!(!is_revision(&site, &other.unwrap().items));

    let mut elements: Elements = site.elements().clone();
    let of = Ref::Line("L-001".into());
    let was = elements.standing(&of).to_vec();
    let Design::Line(mut line) = was[0].1.clone() else {
        panic!()
    };
    line.label = "N-1".into();
    elements.replace(&of, &was, "w-1".into(), Design::Line(line));
    let site = Site::new(site.id().clone(), elements, Log::default());
    let renamed = text("tests/data/cases/practice/schedule.csv").replace("L-001", "N-1");
    assert_eq!(revised(&site, renamed, "w"), []);
}

#[test]
fn however_much_a_schedule_changes_its_revision_ends_at_what_it_says() {
    let path = |case: &str| format!("tests/data/cases/{case}/schedule.csv");
    let mut site = import(&file(&path("practice")));
    let readings = file("tests/data/cases/practice/readings.csv");
    let read = record(&mut site, &readings).entries.len();
    let first = site.plan().clone();
    for (n, case) in ["joint", "practice"].into_iter().enumerate() {
        // As `apply` would, with the plan put together once.
        let (mut elements, mut log) = (site.elements().clone(), site.log().clone());
        for entry in revised(&site, file(&path(case)), &n.to_string()) {
            let Do::Edit(edit) = &entry.what else {
                panic!()
            };
            let stamp = entry.id.0.as_str().into();
            elements.replace(&edit.of, &edit.was, stamp, edit.now.clone());
            assert!(log.add(entry));
        }
        site = Site::new(site.id().clone(), elements, log);
        sound(&site);
        assert_eq!(revised(&site, file(&path(case)), "again"), []);
        let outputs = |site: &Site| -> Vec<String> {
            site.plan()
                .outputs
                .iter()
                .map(|o| o.id.to_string())
                .collect()
        };
        let fresh = import(&file(&path(case)));
        assert_eq!(outputs(&site), outputs(&fresh));
        let labels = |site: &Site| -> Vec<(String, Vec<String>)> {
            let lines = site.plan().lines.iter();
            let nodes = |line: &linewright::site::LinePlan| {
                line.nodes.iter().map(|node| node.label.clone()).collect()
            };
            lines
                .map(|line| (line.label.clone(), nodes(line)))
                .collect()
        };
        assert_eq!(labels(&site), labels(&fresh));
    }
    assert_eq!(site.plan().lines.len(), first.lines.len());
    let reads = |entry: &&Entry| matches!(entry.what, Do::Read(_));
    assert_eq!(site.log().entries().iter().filter(reads).count(), read);
}

#[test]
fn a_schedule_says_voice_alarm_extra_low_voltage_and_insulation_with_yes_in_one_row_of_each() {
    let csv = "amplifier,output,zone,line,loudspeaker,tap_w,voice_alarm,elv,insulation\n\
               A1,1,Hall,L-1,LS-1,6,yes,,yes\nA1,1,Hall,L-1,LS-2,6,,,\nA1,2,Hall,L-2,LS-1,6,,yes,no\n\
               A2,1,Yard,L-3,LS-1,6,,,\n";
    let site = import(csv.as_bytes());
    let said = |site: &Site| {
        let plan = site.plan();
        (
            plan.amplifiers
                .iter()
                .map(|it| it.voice_alarm)
                .collect::<Vec<_>>(),
            plan.outputs.iter().map(|it| it.elv).collect::<Vec<_>>(),
            plan.lines
                .iter()
                .map(|it| it.insulation_asked)
                .collect::<Vec<_>>(),
        )
    };
    let wanted = (
        vec![true, false],
        vec![false, true, false],
        vec![true, false, false],
    );
    assert_eq!(said(&site), wanted);
    // The same schedule without the columns is a revision that takes nothing of it away.
    let plain: String = csv
        .lines()
        .map(|row| row.splitn(7, ',').take(6).collect::<Vec<_>>().join(",") + "\n")
        .collect();
    assert_eq!(revised(&site, &plain, "w"), []);
    // Said by the revision alone, it is taken in.
    let mut bare = import(plain.as_bytes());
    for entry in revised(&bare, csv, "w") {
        bare.apply(entry);
    }
    assert_eq!(said(&bare), wanted);
}
