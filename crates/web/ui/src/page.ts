// For every screen: styles, autosave of the examination, and small helps. Every page works without it.

import "../styles/fonts.css";
import "../styles/tokens.css";
import "../styles/base.css";
import "../styles/parts.css";
import "../styles/pages.css";
import "../styles/visit.css";
import "../styles/desk.css";
import "../styles/bench.css";
import "../styles/captures.css";
import "../styles/print.css";
import { autosave } from "./autosave.js";
import { captures } from "./captures/index.js";
import { passkeys } from "./passkey.js";
import { uploads } from "./upload.js";
import { waits } from "./waits.js";

document.documentElement.classList.add("with-script");
autosave();
uploads();
captures();
passkeys();
waits();

// A link into a closed section opens it, so that 'missing' always leads to its input.
function openTarget(): void {
  const target = location.hash.length > 1 ? document.getElementById(decodeURIComponent(location.hash.slice(1))) : null;
  if (!target) return;
  for (let at: Element | null = target; at; at = at.parentElement) {
    if (at instanceof HTMLDetailsElement) at.open = true;
  }
  target.scrollIntoView({ block: "start" });
  const first = target.matches("input, textarea, select") ? target : target.querySelector("input:checked, input, textarea, select");
  if (first instanceof HTMLElement) first.focus({ preventScroll: true });
}
window.addEventListener("hashchange", openTarget);
openTarget();
