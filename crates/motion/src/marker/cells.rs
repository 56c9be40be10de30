//! Numbers in a file's own byte order.

/// How a file writes its numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// Low byte first, IEEE.
    Intel,
    /// Low byte first, the floating form of the VAX.
    Dec,
    /// High byte first, IEEE (MIPS, SGI).
    Mips,
}

impl Order {
    pub(crate) fn word(self, bytes: &[u8], at: usize) -> Option<u16> {
        let b: [u8; 2] = bytes.get(at..at.checked_add(2)?)?.try_into().ok()?;
        Some(match self {
            Order::Mips => u16::from_be_bytes(b),
            _ => u16::from_le_bytes(b),
        })
    }

    pub(crate) fn whole(self, bytes: &[u8], at: usize) -> Option<i16> {
        self.word(bytes, at).map(|w| w as i16)
    }

    pub(crate) fn real(self, bytes: &[u8], at: usize) -> Option<f32> {
        let b: [u8; 4] = bytes.get(at..at.checked_add(4)?)?.try_into().ok()?;
        Some(match self {
            Order::Intel => f32::from_le_bytes(b),
            Order::Mips => f32::from_be_bytes(b),
            // Its two halves stand the other way round and its exponent is two too large.
            Order::Dec => {
                let value = f32::from_bits(u32::from_le_bytes([b[2], b[3], b[0], b[1]]));
                value / 4.0
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_is_one_in_all_three_orders_and_past_the_end_is_nothing() {
        // 1.0 of the VAX is 0x4080 in its first word.
        assert_eq!(Order::Dec.real(&[0x80, 0x40, 0, 0], 0), Some(1.0));
        assert_eq!(Order::Intel.real(&1f32.to_le_bytes(), 0), Some(1.0));
        assert_eq!(Order::Mips.real(&1f32.to_be_bytes(), 0), Some(1.0));
        assert_eq!(Order::Intel.word(&[1], 0), None);
        assert_eq!(Order::Intel.real(&[0; 8], usize::MAX - 1), None);
    }
}
