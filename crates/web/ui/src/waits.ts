// A part of a page that tells of something under way is looked at again until nothing is.

const LOOK_AFTER_MS = 2000;

export function waits(): void {
  for (const part of document.querySelectorAll<HTMLElement>("[data-waits]")) lookLater(part);
}

function lookLater(part: HTMLElement): void {
  setTimeout(() => void look(part), LOOK_AFTER_MS);
}

async function look(part: HTMLElement): Promise<void> {
  // Nobody looks, or somebody is about to press or to read what lies folded out.
  const busy = document.hidden || (part.contains(document.activeElement) && document.activeElement !== part) || part.querySelector("details[open]");
  const next = busy ? null : await fresh(part.id);
  if (!next) return lookLater(part);
  const before = states(part);
  part.replaceChildren(...Array.from(next.childNodes));
  const now = states(part);
  if (now !== before) say(now);
  if (next.hasAttribute("data-waits")) lookLater(part);
  else part.removeAttribute("data-waits");
}

async function fresh(id: string): Promise<HTMLElement | null> {
  try {
    const answer = await fetch(location.pathname, { headers: { accept: "text/html" } });
    if (!answer.ok) return null;
    return new DOMParser().parseFromString(await answer.text(), "text/html").getElementById(id);
  } catch {
    return null;
  }
}

function states(part: HTMLElement): string {
  return Array.from(part.querySelectorAll(".state, .state-words"), (s) => s.textContent?.trim() ?? "").join(", ");
}

let voice: HTMLElement | null = null;

/** For whoever does not see the page. */
function say(words: string): void {
  if (!voice) {
    voice = document.createElement("p");
    voice.className = "hidden-words";
    voice.setAttribute("role", "status");
    document.querySelector("main")?.append(voice);
  }
  voice.textContent = words;
}
