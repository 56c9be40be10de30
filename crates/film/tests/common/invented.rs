//! The invented picture of the codec fixtures, and chance for damaging them.

/// The picture that `checks/film/invented_picture.py` gives to an outside encoder.
pub fn picture(width: u32, height: u32, bits: u16) -> Vec<u16> {
    let mut state = 1_u64;
    let mut out = Vec::new();
    for y in 0..height {
        for x in 0..width {
            state = (state * 1_103_515_245 + 12_345) % (1 << 31);
            let bar = if (20..40).contains(&y) { 1500 } else { 0 };
            let grain = ((state >> 16) % 37) as u32;
            let flat = (30..80).contains(&x) && y >= 45;
            let value = if flat {
                777
            } else {
                200 + 7 * x + 3 * y + bar + grain
            };
            let value = if bits == 16 { value << 4 } else { value };
            out.push((value >> 12_u16.saturating_sub(bits)) as u16);
        }
    }
    out
}

/// A small generator (multiply and shift), seeded by the test.
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self, sides: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % sides.max(1)
    }
}
