//! Small pictures of the photos, made here: a page with twenty photos of two thousand pixels costs a tablet on the shop's
//! network tens of megabytes, and their thumbnails a tenth of one.

use axum::body::Bytes;
use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits};
use quick_cache::sync::Cache;
use std::io::Cursor;
use std::sync::{Mutex, PoisonError};

/// Longest side of a thumbnail, pixels.
pub const SIDE_PX: u32 = 320;
/// JPEG quality of a thumbnail, of 100: at this size nobody sees the rest. Common practice, no source.
const QUALITY: u8 = 78;
/// Longest side of a photo that is decoded, pixels, and most bytes that its pixels may fill: a few hundred bytes of PNG can
/// claim a picture of gigabytes. 96 MiB are 33 million pixels, more than a camera's upload of 12 MB usually has; what is
/// larger gets the placeholder and is still shown whole by its link.
const MOST_SIDE_PX: u32 = 16_384;
const MOST_PIXEL_BYTES: u64 = 96 * 1024 * 1024;
/// Thumbnails that are kept in memory, of some 15 kB each.
const KEPT: usize = 500;

/// What stands where a photo cannot be made small: of another kind (WebP), broken, or too large.
pub const PLACEHOLDER: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 320 240" width="320" height="240"><rect width="320" height="240" fill="#e4e1d8"/><path d="M90 80h40l12-18h36l12 18h40v96H90z" fill="none" stroke="#5b5b52" stroke-width="6"/><circle cx="160" cy="126" r="28" fill="none" stroke="#5b5b52" stroke-width="6"/><text x="160" y="214" text-anchor="middle" font-family="sans-serif" font-size="18" fill="#3c3c36">Photo without a preview</text></svg>"##;

/// The thumbnails made so far. One is made at a time: a page asks for twenty at once, and decoding takes memory.
pub struct Thumbnails {
    made: Cache<String, Option<Bytes>>,
    one: Mutex<()>,
}

impl Default for Thumbnails {
    fn default() -> Self {
        Self { made: Cache::new(KEPT), one: Mutex::new(()) }
    }
}

impl Thumbnails {
    /// The thumbnail of a photo of this content, as JPEG; none where it cannot be made.
    pub fn of(&self, hash: &str, photo: &[u8]) -> Option<Bytes> {
        if let Some(made) = self.made.get(hash) {
            return made;
        }
        let _one = self.one.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(made) = self.made.get(hash) {
            return made;
        }
        let made = thumbnail(photo).map(Bytes::from);
        self.made.insert(hash.to_owned(), made.clone());
        made
    }
}

/// A photo made small, as JPEG, turned as the camera was held; none where it is neither JPEG nor PNG, broken, or claims more
/// pixels than are decoded.
pub fn thumbnail(photo: &[u8]) -> Option<Vec<u8>> {
    thumbnail_within(photo, MOST_PIXEL_BYTES)
}

fn thumbnail_within(photo: &[u8], most_bytes: u64) -> Option<Vec<u8>> {
    let format = match store::picture::media_of(photo)? {
        "image/jpeg" => ImageFormat::Jpeg,
        "image/png" => ImageFormat::Png,
        _ => return None,
    };
    let mut limits = Limits::no_limits();
    limits.max_image_width = Some(MOST_SIDE_PX);
    limits.max_image_height = Some(MOST_SIDE_PX);
    limits.max_alloc = Some(most_bytes);
    let mut reader = ImageReader::with_format(Cursor::new(photo), format);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().ok()?;
    // The decoder's own limit is best effort; what the head claims is known before anything is allocated.
    if decoder.total_bytes() > most_bytes {
        return None;
    }
    let turned = decoder.orientation().ok()?;
    let whole = DynamicImage::from_decoder(decoder).ok()?;
    let mut small = if whole.width().max(whole.height()) > SIDE_PX { whole.thumbnail(SIDE_PX, SIDE_PX) } else { whole };
    small.apply_orientation(turned);
    let mut jpeg = Vec::new();
    small.to_rgb8().write_with_encoder(JpegEncoder::new_with_quality(&mut jpeg, QUALITY)).ok()?;
    Some(jpeg)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

    use super::*;

    fn picture(width: u32, height: u32) -> DynamicImage {
        DynamicImage::ImageRgb8(image::RgbImage::from_fn(width, height, |x, _| {
            image::Rgb(if x < width / 2 { [200, 20, 20] } else { [20, 20, 200] })
        }))
    }

    fn written(picture: &DynamicImage, format: ImageFormat) -> Vec<u8> {
        let mut bytes = Vec::new();
        picture.write_to(&mut Cursor::new(&mut bytes), format).unwrap();
        bytes
    }

    fn read(jpeg: &[u8]) -> DynamicImage {
        ImageReader::with_format(Cursor::new(jpeg), ImageFormat::Jpeg).decode().unwrap()
    }

    #[test]
    fn a_photo_is_made_small_in_its_own_proportions_and_a_small_one_is_not_blown_up() {
        for format in [ImageFormat::Jpeg, ImageFormat::Png] {
            let large = thumbnail(&written(&picture(2000, 1500), format)).unwrap();
            let small = read(&large);
            assert_eq!((small.width(), small.height()), (320, 240));
            assert!(large.len() < 20_000, "{} bytes", large.len());
            let (left, right) = (small.to_rgb8().get_pixel(20, 100).0, small.to_rgb8().get_pixel(300, 100).0);
            assert!(left[0] > 150 && right[2] > 150, "{left:?} {right:?}");
            let tiny = read(&thumbnail(&written(&picture(40, 90), format)).unwrap());
            assert_eq!((tiny.width(), tiny.height()), (40, 90));
        }
    }

    #[test]
    fn a_camera_that_was_held_upright_gives_an_upright_thumbnail() {
        // An APP1 segment with one entry of IFD0: orientation (0x0112) 6, “turn by 90° clockwise to show” (Exif 2.32, 4.6.4 A).
        let exif: &[u8] = b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0";
        let plain = written(&picture(800, 600), ImageFormat::Jpeg);
        let mut turned = plain[..2].to_vec();
        turned.extend([0xFF, 0xE1]);
        turned.extend(u16::try_from(exif.len() + 2).unwrap().to_be_bytes());
        turned.extend(exif);
        turned.extend(&plain[2..]);
        let small = read(&thumbnail(&turned).unwrap());
        assert_eq!((small.width(), small.height()), (240, 320));
        // What was left is now above.
        assert!(small.to_rgb8().get_pixel(120, 20).0[0] > 150);
    }

    /// A PNG of a few bytes that claims a huge picture: IHDR with its checksum, and data that never comes.
    fn bomb(side: u32) -> Vec<u8> {
        let mut chunk = b"IHDR".to_vec();
        chunk.extend(side.to_be_bytes());
        chunk.extend(side.to_be_bytes());
        chunk.extend([8, 6, 0, 0, 0]);
        let crc = !chunk
            .iter()
            .fold(!0_u32, |crc, byte| (0..8).fold(crc ^ u32::from(*byte), |c, _| if c & 1 == 1 { 0xEDB8_8320 ^ (c >> 1) } else { c >> 1 }));
        let mut png = b"\x89PNG\r\n\x1a\n\0\0\0\x0d".to_vec();
        png.extend(chunk);
        png.extend(crc.to_be_bytes());
        png.extend(b"\0\0\0\x02IDATx\x9c");
        png
    }

    #[test]
    fn what_cannot_be_decoded_or_claims_too_much_has_no_thumbnail() {
        for side in [60_000, 8_000] {
            assert_eq!(thumbnail(&bomb(side)), None, "{side}");
        }
        // The size decides: a sound picture of 200 × 200 × 3 bytes is refused where a byte less may be filled.
        for format in [ImageFormat::Jpeg, ImageFormat::Png] {
            let sound = written(&picture(200, 200), format);
            assert_eq!(thumbnail_within(&sound, 119_999), None);
            assert!(thumbnail_within(&sound, 1_000_000).is_some());
        }
        let jpeg = written(&picture(600, 400), ImageFormat::Jpeg);
        for broken in [&b""[..], b"RIFF\0\0\0\0WEBPVP8 ", b"<svg/>", &jpeg[..40]] {
            assert_eq!(thumbnail(broken), None);
        }
    }

    #[test]
    fn a_thumbnail_is_made_once() {
        let thumbnails = Thumbnails::default();
        let photo = written(&picture(500, 500), ImageFormat::Png);
        let first = thumbnails.of("content", &photo).unwrap();
        // The second time the photo is not looked at.
        assert_eq!(thumbnails.of("content", b""), Some(first));
        assert_eq!(thumbnails.of("another", b""), None);
    }
}
