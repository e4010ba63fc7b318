//! Where a value stands in a JSON text, so that a map's problem can name line and column.
//!
//! Knows no trade word. The text must be valid JSON already; of any other text the answer is
//! meaningless but never a panic.

/// Line and column, in characters from 1, of a byte of a text.
pub(crate) fn line_and_column(text: &str, at: usize) -> (usize, usize) {
    let before = &text[..text.floor_char_boundary(at)];
    let start = before.rfind('\n').map_or(0, |end| end + 1);
    (before.matches('\n').count() + 1, before[start..].chars().count() + 1)
}

/// Lines and columns of several bytes in rising order; the text is gone through once.
pub(crate) fn lines_and_columns(text: &str, places: &[usize]) -> Vec<(usize, usize)> {
    let (mut line, mut start, mut done) = (1, 0, 0);
    let mut found = Vec::with_capacity(places.len());
    for &at in places {
        let at = text.floor_char_boundary(at).max(done);
        let passed = &text[done..at];
        line += passed.matches('\n').count();
        start = passed.rfind('\n').map_or(start, |end| done + end + 1);
        done = at;
        found.push((line, text[start..at].chars().count() + 1));
    }
    found
}

/// The byte at which the value of a path begins, such as `tasks[2].rate`, entries counted from 1; of a path
/// that leads nowhere, the last value on the way that is there.
pub(crate) fn place_of(text: &str, path: &str) -> usize {
    let mut walk = Walk { bytes: text.as_bytes(), at: 0 };
    walk.skip_blanks();
    let mut found = walk.at;
    for step in path.split(['.', '[']) {
        let there = match step.strip_suffix(']') {
            Some(number) => number.parse().is_ok_and(|number| walk.enter_list(number)),
            None => walk.enter_object(text, step),
        };
        if !there {
            break;
        }
        found = walk.at;
    }
    found
}

/// The bytes at which the entries of the list `key` of the outermost object begin; none when
/// there is no such list. Of several lists of this name the last counts, as it does for the
/// values themselves.
pub(crate) fn entries_of_list(text: &str, key: &str) -> Vec<usize> {
    let mut walk = Walk { bytes: text.as_bytes(), at: 0 };
    let mut entries = Vec::new();
    walk.skip_blanks();
    if walk.next() != Some(b'{') {
        return entries;
    }
    loop {
        walk.skip_blanks();
        if walk.peek() != Some(b'"') {
            return entries;
        }
        let name = walk.at;
        walk.skip_value();
        let is_wanted =
            serde_json::from_str::<String>(text.get(name..walk.at).unwrap_or("")).is_ok_and(|name| name == key);
        walk.skip_blanks();
        if walk.next() != Some(b':') {
            return entries;
        }
        walk.skip_blanks();
        if is_wanted && walk.peek() == Some(b'[') {
            entries.clear();
            walk.entries(&mut entries);
        } else {
            walk.skip_value();
        }
        walk.skip_blanks();
        if walk.next() != Some(b',') {
            return entries;
        }
    }
}

struct Walk<'t> {
    bytes: &'t [u8],
    at: usize,
}

impl Walk<'_> {
    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    fn next(&mut self) -> Option<u8> {
        let byte = self.peek();
        self.at += usize::from(byte.is_some());
        byte
    }

    fn skip_blanks(&mut self) {
        while self.peek().is_some_and(|b| b.is_ascii_whitespace()) {
            self.at += 1;
        }
    }

    /// Goes past one value, whatever it is.
    fn skip_value(&mut self) {
        let mut depth = 0_usize;
        loop {
            self.skip_blanks();
            match self.peek() {
                None => return,
                Some(b'"') => self.skip_text(),
                Some(b'{' | b'[') => {
                    depth += 1;
                    self.at += 1;
                }
                Some(b'}' | b']') => {
                    if depth == 0 {
                        return;
                    }
                    depth -= 1;
                    self.at += 1;
                }
                Some(b',' | b':') => {
                    if depth == 0 {
                        return;
                    }
                    self.at += 1;
                }
                Some(_) => {
                    while self.peek().is_some_and(|b| !b" \t\r\n,:]}[{\"".contains(&b)) {
                        self.at += 1;
                    }
                }
            }
            if depth == 0 {
                return;
            }
        }
    }

    fn skip_text(&mut self) {
        self.at += 1;
        while let Some(byte) = self.next() {
            match byte {
                b'\\' => self.at += 1,
                b'"' => return,
                _ => {}
            }
        }
    }

    /// Goes from the start of a list to that of an entry, counted from 1.
    fn enter_list(&mut self, number: usize) -> bool {
        if self.peek() != Some(b'[') {
            return false;
        }
        let mut entries = Vec::new();
        self.entries(&mut entries);
        match number.checked_sub(1).and_then(|index| entries.get(index)) {
            Some(at) => {
                self.at = *at;
                true
            }
            None => false,
        }
    }

    /// Goes from the start of an object to that of the value of a name.
    fn enter_object(&mut self, text: &str, key: &str) -> bool {
        if self.next() != Some(b'{') {
            return false;
        }
        loop {
            self.skip_blanks();
            if self.peek() != Some(b'"') {
                return false;
            }
            let name = self.at;
            self.skip_value();
            let is_wanted =
                serde_json::from_str::<String>(text.get(name..self.at).unwrap_or("")).is_ok_and(|name| name == key);
            self.skip_blanks();
            if self.next() != Some(b':') {
                return false;
            }
            self.skip_blanks();
            if is_wanted {
                return true;
            }
            self.skip_value();
            self.skip_blanks();
            if self.next() != Some(b',') {
                return false;
            }
        }
    }

    fn entries(&mut self, entries: &mut Vec<usize>) {
        self.at += 1;
        loop {
            self.skip_blanks();
            match self.peek() {
                None => return,
                Some(b']') => {
                    self.at += 1;
                    return;
                }
                Some(b',') => self.at += 1,
                Some(_) => {
                    let at = self.at;
                    entries.push(at);
                    self.skip_value();
                    if self.at == at {
                        return;
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn entries_are_found_past_braces_in_texts() {
        let text = "{\"a\": [\"}]\", {\"features\": [1]}], \"features\":\n [{\"id\": \"x\\\"\"},\n  3, [4]]}";
        let places = entries_of_list(text, "features");
        let found: Vec<(usize, usize)> = places.iter().map(|at| line_and_column(text, *at)).collect();
        assert_eq!(found, [(2, 3), (3, 3), (3, 6)]);
        assert_eq!(lines_and_columns(text, &places), found);
        assert_eq!(entries_of_list(text, "b"), Vec::<usize>::new());
    }

    #[test]
    fn a_path_leads_to_its_value_or_as_far_as_it_goes() {
        let text = "{\"a\": 1,\n \"list\": [{\"b\": [2]},\n  {\"b\": [3, {\"c\": \"x\"}]}]}";
        let at = |path: &str| &text[place_of(text, path)..][..1];
        assert_eq!((at("a"), at("list[1].b[1]"), at("list[2].b[1]"), at("list[2].b[2].c")), ("1", "2", "3", "\""));
        assert_eq!(line_and_column(text, place_of(text, "list[2].b[2].c")), (3, 19));
        assert_eq!(line_and_column(text, place_of(text, "list[2].missing[4]")), (3, 3));
        assert_eq!((place_of("", "a"), place_of("[", "[3]"), place_of("{\"a\"", "a.b")), (0, 0, 0));
    }

    #[test]
    fn columns_count_characters() {
        assert_eq!(line_and_column("é\nüx", 5), (2, 2));
        assert_eq!(line_and_column("", 9), (1, 1));
    }
}
