//! Where chapters stand, on the first page; the foot of every page.

use super::flow::{FAINT, Flow, LEADING, MARGIN, Mark, SMALL};

impl Flow<'_> {
    /// Columns of the contents.
    const COLUMNS: usize = 3;

    /// Leaves room for them here, for so many chapters; they are written when their pages are known.
    pub(super) fn room_for_contents(&mut self, chapters: usize) {
        let lines = chapters.div_ceil(Self::COLUMNS);
        let height = lines as f32 * SMALL * LEADING;
        self.want(height + 10.0);
        self.contents = Some((self.pages.len() - 1, self.y, lines));
        self.y += height + 6.0;
    }

    /// Chapters with their pages, down the columns.
    pub(super) fn write_contents(&mut self) {
        let Some((page, top, lines)) = self.contents else {
            return;
        };
        let step = self.room() / Self::COLUMNS as f32;
        let mut marks = Vec::new();
        let chapters = self.bookmarks.iter().filter(|it| it.level == 1);
        for (at, it) in chapters.enumerate() {
            let x = MARGIN + (at / lines) as f32 * step;
            let y = top + SMALL + (at % lines) as f32 * SMALL * LEADING;
            let number = (it.page + 1).to_string();
            let wide = step - 16.0 - self.regular.width(&number, SMALL);
            let title = self.regular.wrapped(&it.text, SMALL, wide - 4.0);
            let right = x + step - 12.0 - self.regular.width(&number, SMALL);
            let mut word = |x, text| {
                marks.push(Mark::Text {
                    x,
                    y,
                    size: SMALL,
                    bold: false,
                    ink: FAINT,
                    text,
                });
            };
            word(x, title.first().cloned().unwrap_or_default());
            word(right, number);
        }
        if let Some(page) = self.pages.get_mut(page) {
            page.extend(marks);
        }
    }

    /// The foot of every page.
    pub(super) fn feet(&mut self, foot: &str) {
        let count = self.pages.len();
        let y = self.height - 26.0;
        let (regular, width) = (self.regular, self.width);
        let foot = regular.wrapped(foot, 7.0, self.room() - 80.0);
        for (at, page) in self.pages.iter_mut().enumerate() {
            let number = format!("page {} of {count}", at + 1);
            let x = width - MARGIN - regular.width(&number, 7.0);
            let lines = foot.iter().take(1).cloned();
            for (x, text) in [(x, number)]
                .into_iter()
                .chain(lines.map(|it| (MARGIN, it)))
            {
                page.push(Mark::Text {
                    x,
                    y,
                    size: 7.0,
                    bold: false,
                    ink: FAINT,
                    text,
                });
            }
        }
    }
}
