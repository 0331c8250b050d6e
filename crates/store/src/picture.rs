//! What a picture's own header says, and the picture without what it tells beside itself: where it was taken, by which camera.
//!
//! JPEG: ITU-T T.81, annex B; Exif 2.32, 4.6.4 (orientation). PNG: ISO/IEC 15948 (PNG 1.2), 5 and 11. WebP: RFC 9649. The
//! pixels are not packed anew, so nothing is lost of them; the way the camera was held stays, as the one entry of a new Exif block.

/// Longest side, pixels, and most pixels: 100 million are more than a camera in a shop has; beyond lies what only claims to be.
const MOST_SIDE_PX: u32 = 20_000;
const MOST_PIXELS: u64 = 100_000_000;

/// The media type of a picture, from its first bytes; none where it is not a kind that is taken.
pub fn media_of(bytes: &[u8]) -> Option<&'static str> {
    match bytes {
        [0xFF, 0xD8, 0xFF, ..] => Some("image/jpeg"),
        [0x89, b'P', b'N', b'G', 0x0D, 0x0A, 0x1A, 0x0A, ..] => Some("image/png"),
        [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => Some("image/webp"),
        _ => None,
    }
}

/// A picture to keep: its media type, and its bytes without what they tell beside the picture.
///
/// # Errors
/// Why it is not kept: no picture of a kind that is taken, damaged in its head, or larger than any camera's.
pub fn to_keep(bytes: &[u8]) -> Result<(&'static str, Vec<u8>), String> {
    let media = media_of(bytes).ok_or("that file is no JPEG, PNG or WebP picture")?;
    let plain = match media {
        "image/jpeg" => jpeg(bytes),
        "image/png" => png(bytes),
        _ => webp(bytes),
    };
    let ((width, height), kept) = plain.ok_or("that picture is damaged: its header cannot be read")?;
    if width == 0 || height == 0 || width.max(height) > MOST_SIDE_PX || u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(format!(
            "that picture says it has {width} × {height} pixels; at most {MOST_SIDE_PX} a side and 100 million in all are kept"
        ));
    }
    Ok((media, kept))
}

type Plain = Option<((u32, u32), Vec<u8>)>;

fn u16_at(b: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes(b.get(at..at + 2)?.try_into().ok()?))
}

fn u32_at(b: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(b.get(at..at + 4)?.try_into().ok()?))
}

/// Segments: kept are those that the picture needs; comments and application data go, but for JFIF (APP0), a color profile (APP2)
/// and the color transform (APP14). What follows the picture's end (a camera's second picture, a film) goes too.
fn jpeg(b: &[u8]) -> Plain {
    let (mut kept, mut size, mut orientation, mut at) = (b[..2].to_vec(), None, 1_u16, 2);
    loop {
        let marker = *b.get(at + 1)?;
        if b[at] != 0xFF {
            return None;
        }
        match marker {
            0xFF => at += 1, // a filling byte
            // No marker, or a reserved one: T.81, table B.1.
            0x00 | 0x02..=0xBF => return None,
            0xD9 => {
                kept.extend([0xFF, 0xD9]);
                break;
            }
            0x01 | 0xD0..=0xD7 => {
                kept.extend([0xFF, marker]);
                at += 2;
            }
            _ => {
                let long = usize::from(u16_at(b, at + 2)?);
                let body = b.get(at + 4..at + 2 + long)?;
                // A frame begins: SOF0 to SOF15 without DHT, JPG and DAC. T.81, B.2.2.
                if matches!(marker, 0xC0..=0xCF) && !matches!(marker, 0xC4 | 0xC8 | 0xCC) {
                    size = Some((u32::from(u16_at(body, 3)?), u32::from(u16_at(body, 1)?)));
                }
                if marker == 0xE1 && body.starts_with(b"Exif\0\0") {
                    orientation = exif_orientation(&body[6..]).unwrap_or(1);
                }
                let needed = !matches!(marker, 0xE1..=0xEF | 0xFE)
                    || (marker == 0xE2 && body.starts_with(b"ICC_PROFILE\0"))
                    || (marker == 0xEE && body.starts_with(b"Adobe"));
                if needed {
                    kept.extend(&b[at..at + 2 + long]);
                }
                at += 2 + long;
                if marker == 0xDA {
                    // The picture's own data, to the next marker that is neither stuffing nor a restart.
                    let end = (at..b.len()).find(|i| b[*i] == 0xFF && b.get(i + 1).is_some_and(|m| !matches!(m, 0x00 | 0xD0..=0xD7)));
                    match end {
                        Some(end) => {
                            kept.extend(&b[at..end]);
                            at = end;
                        }
                        // Cut short on the way: the pixels that came are kept.
                        None => {
                            kept.extend(&b[at..]);
                            break;
                        }
                    }
                }
            }
        }
    }
    if orientation != 1 {
        let mut exif = b"\xFF\xE1\0\x22Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01".to_vec();
        exif.extend(orientation.to_be_bytes());
        exif.extend([0; 6]);
        kept.splice(2..2, exif);
    }
    Some((size?, kept))
}

/// The entry 0x0112 of the first directory of a TIFF block, where it is one of the eight ways to hold a camera.
fn exif_orientation(tiff: &[u8]) -> Option<u16> {
    let little = match tiff.get(..2)? {
        b"II" => true,
        b"MM" => false,
        _ => return None,
    };
    let two = |at: usize| u16_at(tiff, at).map(|x| if little { x.swap_bytes() } else { x });
    let four = |at: usize| u32_at(tiff, at).map(|x| if little { x.swap_bytes() } else { x });
    let first = usize::try_from(four(4)?).ok()?;
    (0..usize::from(two(first)?))
        .map(|i| first + 2 + 12 * i)
        .find(|at| two(*at) == Some(0x0112))
        .and_then(|at| two(at + 8))
        .filter(|o| (1..=8).contains(o))
}

/// Chunks that say how the pixels look; texts, times and Exif go.
const PNG_KEPT: [&[u8; 4]; 13] =
    [b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"cICP", b"sBIT", b"bKGD", b"pHYs"];

fn png(b: &[u8]) -> Plain {
    // The first chunk, whole, and of no other length: ISO/IEC 15948, 11.2.2.
    if !b.get(8..33)?.starts_with(b"\0\0\0\x0DIHDR") {
        return None;
    }
    let size = (u32_at(b, 16)?, u32_at(b, 20)?);
    let (mut kept, mut at) = (b[..8].to_vec(), 8);
    while let Some(long) = u32_at(b, at) {
        let name = b.get(at + 4..at + 8)?;
        let end = at.checked_add(12)?.checked_add(usize::try_from(long).ok()?)?;
        let Some(chunk) = b.get(at..end) else {
            // Cut short on the way: the pixels that came are kept.
            if name == b"IDAT" {
                kept.extend(&b[at..]);
            }
            break;
        };
        if PNG_KEPT.iter().any(|k| *k == name) {
            kept.extend(chunk);
        }
        if name == b"IEND" {
            break;
        }
        at = end;
    }
    Some((size, kept))
}

fn webp(b: &[u8]) -> Plain {
    let little = |at: usize, n: usize| b.get(at..at + n).map(|s| s.iter().rev().fold(0_u32, |x, d| x << 8 | u32::from(*d)));
    // The size stands in the first chunk; where that is too short for it, what is read would be the next one's.
    let least = match b.get(12..16)? {
        b"VP8L" => 5,
        _ => 10,
    };
    if little(16, 4)? < least {
        return None;
    }
    let size = match b.get(12..16)? {
        b"VP8X" => (little(24, 3)? + 1, little(27, 3)? + 1),
        b"VP8L" => {
            let bits = little(21, 4)?;
            ((bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1)
        }
        b"VP8 " => (little(26, 2)? & 0x3FFF, little(28, 2)? & 0x3FFF),
        _ => return None,
    };
    let (mut kept, mut at) = (b[..12].to_vec(), 12);
    while let Some(name) = b.get(at..at + 4) {
        let long = usize::try_from(little(at + 4, 4)?).ok()?;
        let end = at.checked_add(8)?.checked_add(long)?.checked_add(long & 1)?;
        let chunk = b.get(at..end.min(b.len()))?;
        if !matches!(name, b"EXIF" | b"XMP ") {
            let from = kept.len();
            kept.extend(chunk);
            if name == b"VP8X" {
                // RFC 9649, 2.7.1: the flags that say that Exif and XMP follow.
                *kept.get_mut(from + 8)? &= !0x0C;
            }
        }
        at = end;
    }
    let long = u32::try_from(kept.len() - 8).ok()?.to_le_bytes();
    kept[4..8].copy_from_slice(&long);
    Some((size, kept))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;

    fn segment(marker: u8, body: &[u8]) -> Vec<u8> {
        [&[0xFF, marker][..], &u16::try_from(body.len() + 2).unwrap().to_be_bytes(), body].concat()
    }

    /// A camera's picture in little: Exif with the orientation and a place, a comment, a frame, data with stuffing and a restart.
    fn camera(side: u16, orientation: u8) -> Vec<u8> {
        let mut exif = b"Exif\0\0II*\0\x08\0\0\0\x02\0\x12\x01\x03\0\x01\0\0\0".to_vec();
        exif.extend([orientation, 0, 0, 0]);
        exif.extend(b"\x25\x88\x04\0\x01\0\0\0\x26\0\0\0GPS 47.3769 N");
        let mut frame = vec![8];
        frame.extend([side.to_be_bytes(), side.to_be_bytes()].concat());
        frame.extend([1, 1, 0x11, 0]);
        [
            vec![0xFF, 0xD8],
            segment(0xE0, b"JFIF\0\x01\x01\0\0\x01\0\x01\0\0"),
            segment(0xE1, &exif),
            segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0<gps>47.3769</gps>"),
            segment(0xFE, b"taken by A. Parent"),
            segment(0xE2, b"ICC_PROFILE\0\x01\x01profile"),
            segment(0xC0, &frame),
            segment(0xDA, &[1, 1, 0, 0, 63, 0]),
            vec![1, 2, 0xFF, 0x00, 3, 0xFF, 0xD0, 4, 0xFF, 0xD9],
            b"a second picture with GPS".to_vec(),
        ]
        .concat()
    }

    #[test]
    fn a_jpeg_loses_place_and_camera_and_keeps_pixels_profile_and_the_way_it_was_held() {
        let (media, kept) = to_keep(&camera(640, 6)).unwrap();
        let text = String::from_utf8_lossy(&kept);
        assert_eq!(media, "image/jpeg");
        assert!(!text.contains("GPS") && !text.contains("47.3769") && !text.contains("Parent"), "{text}");
        assert!(text.contains("ICC_PROFILE") && kept.ends_with(&[1, 2, 0xFF, 0x00, 3, 0xFF, 0xD0, 4, 0xFF, 0xD9]));
        // The new Exif block says 6, by this file's own reader, and a second pass changes nothing.
        let at = kept.windows(6).position(|w| w == b"Exif\0\0").unwrap();
        assert_eq!(exif_orientation(&kept[at + 6..]), Some(6));
        assert_eq!(usize::from(u16_at(&kept, at - 2).unwrap()), 0x22);
        assert_eq!(to_keep(&kept).unwrap().1, kept);
        assert!(!to_keep(&camera(640, 1)).unwrap().1.windows(4).any(|w| w == b"Exif"));
    }

    #[test]
    fn a_jpeg_with_what_is_no_marker_is_damaged() {
        for marker in [0x00, 0x02, 0xBF] {
            let mut sent = camera(640, 1);
            // A filling byte, then the marker, behind the pixels: without the filling it would read as pixels again.
            let end = sent.windows(2).position(|w| w == [0xFF, 0xD9]).unwrap();
            sent.splice(end..end, [0xFF, 0xFF, marker, 0, 4, 1, 2]);
            assert!(to_keep(&sent).unwrap_err().contains("header"), "{marker:#x}");
        }
    }

    #[test]
    fn a_png_and_a_webp_lose_their_texts() {
        let chunk = |name: &[u8], body: &[u8]| [&u32::try_from(body.len()).unwrap().to_be_bytes()[..], name, body, &[0; 4]].concat();
        let head = [&64_u32.to_be_bytes()[..], &48_u32.to_be_bytes(), &[8, 2, 0, 0, 0]].concat();
        let png = |extra: Vec<u8>| {
            [b"\x89PNG\r\n\x1a\n".to_vec(), chunk(b"IHDR", &head), extra, chunk(b"IDAT", b"pixels"), chunk(b"IEND", b"")].concat()
        };
        let texts = [chunk(b"tEXt", b"Author\0A. Parent"), chunk(b"eXIf", b"MM gps")].concat();
        assert_eq!(to_keep(&[png(texts), b"behind".to_vec()].concat()).unwrap(), ("image/png", png(vec![])));
        let piece = |name: &[u8], body: &[u8]| {
            [name, &u32::try_from(body.len()).unwrap().to_le_bytes()[..], body, &vec![0; body.len() & 1]].concat()
        };
        let whole = |pieces: Vec<u8>| [&b"RIFF"[..], &u32::try_from(pieces.len() + 4).unwrap().to_le_bytes(), b"WEBP", &pieces].concat();
        let x = |flags: u8| piece(b"VP8X", &[flags, 0, 0, 0, 63, 0, 0, 47, 0, 0]);
        let lossless = piece(b"VP8L", b"\x2f1234");
        let sent = whole([x(0x1C), lossless.clone(), piece(b"EXIF", b"gps"), piece(b"XMP ", b"gps")].concat());
        assert_eq!(to_keep(&sent).unwrap(), ("image/webp", whole([x(0x10), lossless].concat())));
        // A first chunk too short for a size: the size read would be of the text behind it, which goes.
        let short = whole([piece(b"VP8L", b""), piece(b"EXIF", b"gps and more")].concat());
        assert!(to_keep(&short).unwrap_err().contains("header"));
    }

    #[test]
    fn a_picture_that_claims_too_much_is_refused_by_its_header() {
        let why = to_keep(&camera(30_000, 1)).unwrap_err();
        assert!(why.contains("30000 × 30000"), "{why}");
        assert!(to_keep(&camera(12_000, 1)).unwrap_err().contains("100 million"));
        assert!(to_keep(&camera(10_000, 1)).is_ok());
        let webp = b"RIFF\x16\0\0\0WEBPVP8X\x0a\0\0\0\0\0\0\0\x2f\x75\0\x2f\x75\0".to_vec();
        assert!(to_keep(&webp).unwrap_err().contains("30000 × 30000"));
        let mut png = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec();
        png.extend([0, 0, 0x75, 0x30, 0, 0, 0x75, 0x30, 8, 2, 0, 0, 0]);
        // Cut before its checksum the header is none, and is not kept: what was kept would not read again.
        assert!(to_keep(&png).unwrap_err().contains("header"));
        png.extend([0; 4]);
        assert!(to_keep(&png).unwrap_err().contains("30000 × 30000"));
    }

    proptest::proptest! {
        /// Whatever comes: no panic, and never more than came but for the small Exif block.
        #[test]
        fn no_bytes_break_it(kind in 0..3_usize, rest in proptest::collection::vec(proptest::num::u8::ANY, 0..300), cut in 0..300_usize, flip in 0..300_usize) {
            let heads: [&[u8]; 3] = [b"\xFF\xD8\xFF", b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR", b"RIFF\0\0\0\0WEBPVP8X"];
            let _ = to_keep(&[heads[kind], &rest].concat());
            let mut whole = camera(640, 6);
            let at = flip % whole.len();
            whole[at] ^= rest.first().copied().unwrap_or(1);
            whole.truncate(whole.len() - cut % whole.len());
            if let Ok((_, kept)) = to_keep(&whole) {
                proptest::prop_assert!(kept.len() <= whole.len() + 36);
            }
        }
    }
}
