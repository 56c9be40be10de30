// Autosave: a form marked `data-autosave` sends each change as it is made, and says when it was kept.
//
// One change is one request. They go out one after the other, so that the newest always wins, and a
// change that could not be kept stays on the page with a sentence saying so.

interface Kept {
  words: string;
  revision?: number;
  /** What an undo would take back; null where there is nothing. */
  undo?: string | null;
}

type Field = HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement;

export function autosave(): void {
  for (const form of document.querySelectorAll<HTMLFormElement>("form[data-autosave]")) watch(form);
}

function watch(form: HTMLFormElement): void {
  const voice = document.getElementById(form.dataset["voice"] ?? "saved");
  let queue: Promise<void> = Promise.resolve();
  let waiting = 0;
  form.classList.add("saves-itself");
  const say = (words: string, bad = false): void => {
    if (!voice) return;
    voice.textContent = words;
    voice.classList.toggle("state", bad);
    voice.classList.toggle("alarm", bad);
  };
  form.addEventListener("change", (event) => {
    const field = event.target;
    if (!(field instanceof HTMLInputElement || field instanceof HTMLTextAreaElement || field instanceof HTMLSelectElement)) return;
    if (!field.name || field.dataset["alone"] === "no") return;
    waiting += 1;
    say("Saving …");
    queue = queue.then(async () => {
      try {
        const kept = await send(form, field);
        waiting -= 1;
        const revision = form.elements.namedItem("revision");
        if (kept.revision !== undefined && revision instanceof HTMLInputElement) revision.value = String(kept.revision);
        renewUndo(form, kept);
        mark(field, null);
        if (waiting === 0) {
          say(kept.words);
          await renewStanding(form);
        }
      } catch (fault) {
        waiting -= 1;
        const words = fault instanceof Error ? fault.message : "This change could not be saved.";
        mark(field, words);
        say(`Not saved: ${words}`, true);
      }
    });
  });
  // Sending the whole form while a change is under way would overtake it, and be refused as changed meanwhile.
  form.addEventListener("submit", (event) => {
    if (waiting === 0) return;
    event.preventDefault();
    const pressed = event.submitter;
    void queue.then(() => form.requestSubmit(pressed));
  });
  window.addEventListener("beforeunload", (event) => {
    if (waiting > 0) event.preventDefault();
  });
}

async function send(form: HTMLFormElement, field: Field): Promise<Kept> {
  const body = new URLSearchParams();
  for (const hidden of form.querySelectorAll<HTMLInputElement>("input[type=hidden]")) body.set(hidden.name, hidden.value);
  body.set("only", field.name);
  body.set(field.name, field.value);
  let response: Response;
  try {
    response = await fetch(form.action, { method: "POST", headers: { accept: "application/json" }, body });
  } catch {
    throw new Error("the program does not answer. Start it again; what you typed is still here.");
  }
  const type = response.headers.get("content-type") ?? "";
  const said = type.includes("json") ? ((await response.json()) as Partial<Kept> & { error?: string }) : {};
  if (!response.ok) throw new Error(said.error ?? `the program answered with ${response.status}.`);
  return { ...said, words: said.words ?? "Saved." };
}

/** The undo button says what it takes back now, and takes back nothing else. */
function renewUndo(form: HTMLFormElement, kept: Kept): void {
  const undo = document.getElementById(form.dataset["undo"] ?? "");
  if (!(undo instanceof HTMLFormElement) || kept.undo === undefined) return;
  const revision = undo.elements.namedItem("revision");
  if (kept.revision !== undefined && revision instanceof HTMLInputElement) revision.value = String(kept.revision);
  const words = undo.querySelector("[data-words]");
  if (words) words.textContent = kept.undo ?? "";
  undo.hidden = kept.undo === null;
}

/** The sentence beside the field that was refused; taken away once it is kept. */
function mark(field: Field, words: string | null): void {
  const id = `${field.id || field.name}-fault`;
  document.getElementById(id)?.remove();
  field.removeAttribute("aria-invalid");
  if (words === null) return;
  const note = document.createElement("p");
  note.id = id;
  note.className = "field-fault";
  note.textContent = words;
  field.setAttribute("aria-invalid", "true");
  (field.closest(".choices, .with-unit, .field") ?? field).after(note);
}

/** The standing summary beside the page, made anew by the server. */
async function renewStanding(form: HTMLFormElement): Promise<void> {
  const place = document.getElementById("standing");
  const address = place?.dataset["from"] ?? form.dataset["standing"];
  if (!place || !address) return;
  try {
    const response = await fetch(address, { headers: { accept: "text/html" } });
    if (!response.ok) return;
    const fresh = new DOMParser().parseFromString(await response.text(), "text/html").getElementById("standing");
    if (fresh) place.replaceChildren(...fresh.childNodes);
    for (const copy of document.querySelectorAll<HTMLElement>("[data-copy]")) {
      copy.textContent = document.getElementById(copy.dataset["copy"] ?? "")?.textContent ?? copy.textContent;
    }
  } catch {
    // The summary stays as it was; the save itself was confirmed.
  }
}
