//! The sans that comes with the file: a cut of Inter (SIL Open Font License 1.1, see `assets/font`).

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

/// The font file.
pub(super) const WOFF2: &[u8] = include_bytes!("../../assets/font/inter-subset.woff2");

/// The rule that makes it known under the name `Inter`, the font in it.
pub(super) fn face() -> String {
    format!(
        "@font-face{{font-family:\"Inter\";font-weight:400 700;font-style:normal;font-display:block;\
         src:url(data:font/woff2;base64,{}) format(\"woff2\")}}\n",
        STANDARD.encode(WOFF2)
    )
}
