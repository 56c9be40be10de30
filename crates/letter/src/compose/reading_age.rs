//! How many years of school does a text ask for? Used by tests only.
//!
//! One surprise: syllables are counted as runs of vowels, which errs by a few in a hundred words.

/// School years (USA) after which a text can be read.
///
/// # Sources
/// The grade level of Kincaid, Fishburne, Rogers and Chissom, 1975, Research Branch Report 8-75: 0.39 words a
/// sentence + 11.8 syllables a word − 15.59. Recalled, not read; the formula is in common use.
pub fn school_grade(text: &str) -> f64 {
    let sentences = sentences(text);
    let words: Vec<&str> = text
        .split_whitespace()
        .filter(|w| w.chars().any(char::is_alphabetic))
        .collect();
    let syllables: usize = words.iter().map(|w| syllables(w)).sum();
    let n = words.len().max(1) as f64;
    0.39 * n / sentences as f64 + 11.8 * syllables as f64 / n - 15.59
}

/// Runs of vowels, less a silent e at the end.
fn syllables(word: &str) -> usize {
    let letters: Vec<char> = word
        .to_lowercase()
        .chars()
        .filter(char::is_ascii_alphabetic)
        .collect();
    let vowel = |c: &char| "aeiouy".contains(*c);
    let mut runs = 0;
    for (i, c) in letters.iter().enumerate() {
        if vowel(c) && (i == 0 || !vowel(&letters[i - 1])) {
            runs += 1;
        }
    }
    if letters.ends_with(&['e']) && !letters.ends_with(&['l', 'e']) && runs > 1 {
        runs -= 1;
    }
    runs.max(1)
}

/// The ease of reading Spanish: 100 very easy, 60 to 70 usual, below 30 very hard.
///
/// # Sources
/// Fernández Huerta, 1959: 206.84 − 60 syllables a word − 1.02 words a sentence (in the form that counts words
/// of a sentence). Recalled, not read.
pub fn spanish_ease(text: &str) -> f64 {
    let sentences = sentences(text);
    let words: Vec<&str> = text
        .split_whitespace()
        .filter(|w| w.chars().any(char::is_alphabetic))
        .collect();
    let syllables: usize = words.iter().map(|w| spanish_syllables(w)).sum();
    let n = words.len().max(1) as f64;
    206.84 - 60.0 * syllables as f64 / n - 1.02 * n / sentences as f64
}

/// Vowels, where a weak one beside another makes no syllable of its own.
fn spanish_syllables(word: &str) -> usize {
    let letters: Vec<char> = word.to_lowercase().chars().collect();
    let strong = |c: char| "aeoáéíóú".contains(c);
    let weak = |c: char| "iuü".contains(c);
    let mut count = 0;
    for (i, c) in letters.iter().enumerate() {
        let before = i.checked_sub(1).map(|b| letters[b]);
        // The u of que, qui, gue, gui is silent; y is a vowel at the end only, and then part of a diphthong.
        let silent = *c == 'u' && matches!(before, Some('q' | 'g'));
        let follows_vowel = before.is_some_and(|b| strong(b) || weak(b));
        let next_strong = letters.get(i + 1).is_some_and(|n| strong(*n));
        if strong(*c) || (weak(*c) && !silent && !follows_vowel && !next_strong) {
            count += 1;
        }
    }
    count.max(1)
}

/// Sentences of more than one word; the point within a number ends none.
fn sentences(text: &str) -> usize {
    let letters: Vec<char> = text.chars().collect();
    let mut bare = String::with_capacity(text.len());
    for (i, c) in letters.iter().enumerate() {
        let in_number = *c == '.' && letters.get(i + 1).is_some_and(char::is_ascii_digit);
        bare.push(if in_number { '_' } else { *c });
    }
    bare.split(['.', '!', '?'])
        .filter(|s| s.split_whitespace().count() > 1)
        .count()
        .max(1)
}
