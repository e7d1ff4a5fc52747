//! What the loop does while nothing comes in: saving, trying again what the disk refused, a step of the
//! reckoning, a signature.

use super::*;

impl App {
    /// One such step; true when it is time to leave.
    pub(super) fn idle(
        &mut self,
        guard: &mut Guard,
        incoming: &Receiver<Incoming>,
        theme: Theme,
    ) -> io::Result<bool> {
        self.save_when_calm();
        self.try_again();
        let signing = self.session.is_signing();
        let effects = update(&mut self.session, Event::Idle);
        self.busy = signing || effects.iter().any(|effect| matches!(effect, Effect::GoOn));
        self.carry_out(effects);
        if !signing {
            return Ok(false);
        }
        // As long as the screen says that no key is taken, none is: it says something else first.
        self.draw(guard, theme)?;
        self.drop_keys(guard, incoming)
    }

    /// What was typed while a signature was made is no command; all else is taken.
    fn drop_keys(&mut self, guard: &mut Guard, incoming: &Receiver<Incoming>) -> io::Result<bool> {
        while let Ok(event) = incoming.try_recv() {
            let typed = matches!(event, Incoming::Input(Input::Key(_) | Input::Paste(_), _));
            if !typed && self.take(event, guard)? {
                return Ok(true);
            }
        }
        Ok(false)
    }

    fn save_when_calm(&mut self) {
        let soon = self.not_saved.is_some() && self.last_save.elapsed() < SAVE_AGAIN;
        if self.unsaved && !soon && self.last_key.elapsed() >= CALM {
            self.unsaved = false;
            self.keeping.save();
        }
    }
}
