//! A file that belongs to a kept thing: a photo, a scanned label, a signed notice.

use super::{Checked, Day, Index, Reference, Sha256, fields, words};
use problem::{Problem, Problems};

fields! {
    /// What is known of a file; its bytes are kept beside the entries.
    pub struct File {
        /// Its name.
        pub name: String,
        /// What it holds.
        pub media_type: MediaType,
        /// How many bytes.
        pub size_bytes: u64,
        /// The checksum of its bytes.
        pub sha256: Sha256,
        /// The kept thing that it belongs to.
        pub belongs_to: Reference,
        /// The property that it shows.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub property: Option<Reference>,
        /// The day that it shows.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub date: Option<Day>,
    }
}

words! {
    /// What a file holds, by its media type (RFC 6838).
    pub enum MediaType {
        /// A photo.
        Jpeg = "image/jpeg",
        /// A picture.
        Png = "image/png",
        /// A photo.
        Webp = "image/webp",
        /// A document.
        Pdf = "application/pdf",
        /// Text.
        PlainText = "text/plain",
    }
}

impl File {
    pub(super) fn found_by(&self) -> Index {
        Index {
            title: self.name.clone(),
            property: self.property.clone(),
            date: self.date.map(Day::date),
            ..Index::default()
        }
    }
}

impl Checked for File {
    fn check(&self, problems: &mut Problems) {
        if self.name.contains(['/', '\\']) || self.name.starts_with('.') {
            problems.push(
                Problem::error("kept::file-name", format!("`{}` names a place", crate::toml_source::shown(&self.name)))
                    .expected("the name of a file without folders")
                    .at("/name"),
            );
        }
        if self.size_bytes == 0 {
            problems.push(Problem::error("kept::empty-file", "the file is empty").at("/size_bytes"));
        }
    }
}
