//! Entries written by hand into a site, a second apart, as an engineer would make them.
#![allow(dead_code)]

use jiff::{Timestamp, civil::Date};
use linewright::quantity::{DecimalSign, Hertz, Value, reading};
use linewright::site::{
    Cut, Decide, Decision, Do, Edit, Entry, EntryId, Heard, Listen, Read, Ref, Repair, Seal, Site,
    Tick, TickIs, Void,
};

/// Writes entries one after another.
pub struct Pen {
    pub site: Site,
    pub writer: String,
    pub second: i64,
    /// Who it is recorded by.
    pub person: String,
    counter: u64,
}

impl Pen {
    pub fn on(site: Site) -> Self {
        Self::by(site, "penpenpenpenpenp", 0)
    }

    /// Another writer, from so many seconds after the start on.
    pub fn by(site: Site, writer: &str, second: i64) -> Self {
        Self {
            site,
            writer: writer.to_owned(),
            second,
            person: "engineer A".to_owned(),
            counter: 0,
        }
    }

    pub fn now(&self) -> Timestamp {
        let start: Timestamp = "2026-11-25T14:00:00Z".parse().unwrap();
        Timestamp::from_second(start.as_second() + self.second).unwrap()
    }

    pub fn write_with(
        &mut self,
        what: Do,
        why: Option<&str>,
        corrects: Option<EntryId>,
    ) -> EntryId {
        self.counter += 1;
        self.second += 1;
        let id = EntryId(format!("{}-{}", self.writer, self.counter));
        let entry = Entry {
            at: self.now(),
            id: id.clone(),
            by: self.person.clone(),
            what,
            act: None,
            row: None,
            corrects,
            why: why.map(str::to_owned),
        };
        assert!(self.site.apply(entry));
        id
    }

    pub fn write(&mut self, what: Do) -> EntryId {
        self.write_with(what, None, None)
    }

    pub fn read(&mut self, line: &str, text: &str) -> EntryId {
        self.read_at(line, text, None)
    }

    /// Reads a line whole, or a side of it.
    pub fn read_at(&mut self, line: &str, text: &str, cut: Option<Cut>) -> EntryId {
        let read = self.reading(line, text, cut);
        self.write(read)
    }

    /// Reads a line once more, in place of a reading that was a slip.
    pub fn correct(&mut self, line: &str, text: &str, corrects: EntryId) -> EntryId {
        let read = self.reading(line, text, None);
        self.write_with(read, None, Some(corrects))
    }

    fn reading(&self, line: &str, text: &str, cut: Option<Cut>) -> Do {
        let typed = reading(text, DecimalSign::Either).unwrap();
        Do::Read(Read {
            line: line.into(),
            state: self.site.history(&line.into()).state(),
            value: typed.value,
            step_ohm: typed.step,
            text: text.to_owned(),
            instrument: "meter".into(),
            hz: Hertz(1000.0),
            phase_deg: None,
            cut,
            note: None,
        })
    }

    /// Reads a line exactly as it is drawn.
    pub fn read_as_drawn(&mut self, line: &str) -> EntryId {
        let analyst = linewright::analysis::Analyst::new(&self.site);
        let at = self.site.plan().line(&line.into()).unwrap();
        let ohm = analyst.line(at).design.expected.unwrap().get();
        self.read(line, &format!("{ohm:.0}"))
    }

    pub fn hear(&mut self, node: &str, gives: Heard) -> EntryId {
        let line = node.split('/').next().unwrap();
        self.write(Do::Listen(Listen {
            line: line.into(),
            state: self.site.history(&line.into()).state(),
            at: node.into(),
            gives,
            tone: "meter".to_owned(),
            note: None,
        }))
    }

    pub fn hear_all(&mut self, line: &str) {
        let at = self.site.plan().line(&line.into()).unwrap();
        let nodes: Vec<String> = self.site.plan().lines[at]
            .nodes
            .iter()
            .filter(|node| node.is_loudspeaker())
            .map(|node| node.id.to_string())
            .collect();
        for node in nodes {
            self.hear(&node, Heard::Heard);
        }
    }

    pub fn tick(&mut self, item: &str, of: Vec<Ref>) -> EntryId {
        let visit = self.site.visit();
        self.write(Do::Tick(Tick {
            item: item.to_owned(),
            of,
            visit,
            is: TickIs::Done,
        }))
    }

    pub fn not_here(&mut self, item: &str, of: Ref, why: &str) -> EntryId {
        let visit = self.site.visit();
        self.write(Do::Tick(Tick {
            item: item.to_owned(),
            of: vec![of],
            visit,
            is: TickIs::NotHere(why.to_owned()),
        }))
    }

    pub fn tick_all(&mut self) {
        use linewright::site::{LISTS, ListOf};
        let plan = self.site.plan();
        let amplifiers: Vec<Ref> = plan
            .amplifiers
            .iter()
            .map(|it| Ref::Amplifier(it.id.clone()))
            .collect();
        let lines: Vec<Ref> = plan
            .lines
            .iter()
            .map(|it| Ref::Line(it.id.clone()))
            .collect();
        for row in LISTS {
            let of = match row.of {
                ListOf::Visit => vec![Ref::Visit(self.site.visit())],
                ListOf::Amplifier | ListOf::VoiceAlarm => amplifiers.clone(),
                ListOf::Line | ListOf::InsulationLine => lines.clone(),
            };
            self.tick(row.item, of);
        }
    }

    pub fn repair(&mut self, line: &str, what: &str, cause: Option<&str>) -> EntryId {
        self.write(Do::Repair(Repair {
            line: line.into(),
            after: self.site.history(&line.into()).state(),
            what: what.to_owned(),
            place: None,
            cause: cause.map(str::to_owned),
        }))
    }

    pub fn decide(&mut self, of: Ref, is: Decision, why: Option<&str>) -> EntryId {
        let state = match &of {
            Ref::Line(id) => self.site.history(id).state(),
            _ => self.site.visit().as_str().into(),
        };
        self.write_with(Do::Decide(Decide { of, state, is }), why, None)
    }

    pub fn accept(&mut self, line: &str, why: &str) -> EntryId {
        self.decide(Ref::Line(line.into()), Decision::Accepted, Some(why))
    }

    pub fn void(&mut self, of: &EntryId) -> EntryId {
        self.write(Do::Void(Void {
            of: vec![of.clone()],
        }))
    }

    /// Another run length of a node.
    pub fn edit_run(&mut self, node: &str, metres: f64) -> EntryId {
        let of = Ref::Node(node.into());
        let was = self.site.elements().standing(&of).to_vec();
        let mut now = was[0].1.clone();
        if let linewright::site::Design::Loudspeaker(it) = &mut now {
            it.run_m = Some(linewright::quantity::Metre(metres));
        }
        self.write(Do::Edit(Edit {
            of,
            was,
            now,
            undoes: None,
        }))
    }

    /// Signs, or panics with what stands in the way.
    pub fn sign(&mut self, scope: Ref) -> EntryId {
        let seal = self.try_sign(scope).unwrap();
        self.write(Do::Seal(seal))
    }

    pub fn try_sign(&self, scope: Ref) -> Result<Seal, Vec<linewright::review::Item>> {
        let mut analyst = linewright::analysis::Analyst::new(&self.site);
        analyst.settle(&self.site, None);
        let at = Timestamp::from_second(self.now().as_second() + 1).unwrap();
        let signing = linewright::review::Signing {
            scope,
            name: "N. Engineer".to_owned(),
            role: "commissioning engineer".to_owned(),
            at,
            by: self.person.clone(),
        };
        linewright::review::seal(&self.site, &analyst, &signing)
    }

    /// Everything read as drawn, heard and ticked.
    pub fn finish(&mut self) {
        let lines: Vec<String> = self
            .site
            .plan()
            .lines
            .iter()
            .map(|line| line.id.to_string())
            .collect();
        for line in &lines {
            self.read_as_drawn(line);
            self.hear_all(line);
        }
        self.tick_all();
    }
}

pub fn ohms(value: Value) -> f64 {
    match value {
        Value::Ohm(it) => it.get(),
        Value::Open => f64::INFINITY,
        Value::Short => 0.0,
    }
}

pub fn day(text: &str) -> Date {
    text.parse().unwrap()
}

/// A hall as it is left at the end of a day: H-2 reads short and is off, L-1 has a third too much load,
/// B-1 could not be read; all else is as drawn, heard and ticked.
pub fn evening() -> Site {
    let mut pen = Pen::on(crate::desk::hall());
    for line in ["H-1", "L-2", "C-1"] {
        pen.read_as_drawn(line);
        pen.hear_all(line);
    }
    pen.read("H-2", "0.6");
    pen.hear_all("H-2");
    pen.read("L-1", "417");
    pen.hear_all("L-1");
    pen.tick_all();
    pen.tick(linewright::site::CORES_OFF, vec![Ref::Line("H-2".into())]);
    pen.not_here(
        "heard-main",
        Ref::Amplifier("A1".into()),
        "all but H-2 and B-1",
    );
    pen.site
}
