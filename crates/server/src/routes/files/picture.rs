//! Whether a picture can be seen: a head without a body is no photo.

use exchange::kept::MediaType;
use image::{ImageFormat, ImageReader, Limits};
use problem::Problem;
use std::io::Cursor;

/// The longest side taken, points: well beyond what a camera makes.
const LONGEST_SIDE: u32 = 20_000;

/// What reading one picture may take, bytes: fifty million points of four bytes, and room to work.
const MOST_BYTES: u64 = 256 * 1024 * 1024;

/// Reads a picture to its end. A paper is kept as it is.
///
/// # Errors
/// `server::file-unreadable` when it is broken off, damaged, or larger than is taken.
pub(super) fn check(media_type: MediaType, bytes: &[u8]) -> Result<(), Problem> {
    let format = match media_type {
        MediaType::Jpeg => ImageFormat::Jpeg,
        MediaType::Png => ImageFormat::Png,
        MediaType::Webp => ImageFormat::WebP,
        MediaType::Pdf | MediaType::PlainText => return Ok(()),
    };
    let mut limits = Limits::default();
    limits.max_image_width = Some(LONGEST_SIDE);
    limits.max_image_height = Some(LONGEST_SIDE);
    limits.max_alloc = Some(MOST_BYTES);
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    reader.limits(limits);
    reader.decode().map(|_| ()).map_err(|fault| {
        Problem::error("server::file-unreadable", format!("the picture cannot be read to its end: {fault}"))
            .expected(format!("a whole picture with sides of {LONGEST_SIDE} points at most"))
            .mend("take or send it again")
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::RgbImage;

    fn written(format: ImageFormat) -> Vec<u8> {
        let picture = RgbImage::from_fn(64, 48, |x, y| image::Rgb([(x * 3) as u8, (y * 5) as u8, (x * y) as u8]));
        let mut bytes = Cursor::new(Vec::new());
        picture.write_to(&mut bytes, format).expect("a picture");
        bytes.into_inner()
    }

    #[test]
    fn a_picture_is_read_to_its_end() {
        for (media_type, format) in [
            (MediaType::Jpeg, ImageFormat::Jpeg),
            (MediaType::Png, ImageFormat::Png),
            (MediaType::Webp, ImageFormat::WebP),
        ] {
            let whole = written(format);
            assert_eq!(check(media_type, &whole), Ok(()), "{format:?}");
            let head = &whole[..30];
            assert_eq!(check(media_type, head).map_err(|problem| problem.code), Err("server::file-unreadable"));
        }
        let rubbish = [b"\x89PNG\r\n\x1a\n".as_slice(), b"anything else"].concat();
        assert!(check(MediaType::Png, &rubbish).is_err());
    }

    /// A few bytes may claim a picture that would fill the memory.
    #[test]
    fn a_picture_beyond_all_cameras_is_not_unpacked() {
        let mut bytes = written(ImageFormat::Png);
        // Width and height stand behind the signature and the head of the first chunk (W3C PNG, section 11.2.1).
        bytes[16..24].copy_from_slice(&[0, 1, 0, 0, 0, 1, 0, 0]);
        assert!(check(MediaType::Png, &bytes).is_err());
    }

    #[test]
    fn a_paper_is_kept_as_it_is() {
        assert_eq!(check(MediaType::Pdf, b"%PDF-1.7"), Ok(()));
    }
}
