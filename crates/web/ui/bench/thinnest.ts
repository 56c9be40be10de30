// The search for the thinnest wall: two demands, a way to stop, and a wall that may be taken over.

import { type Api, Refusal, type Texts } from "./api.js";
import { html } from "./svg.js";

const LOOK_AGAIN_MS = 300;

export class ThinnestPart {
  /** Called with the texts of a wall that is taken over. */
  onTake: (texts: Texts) => void = () => {};
  readonly #place = document.getElementById("thinnest-said");
  readonly #button = document.getElementById("thinnest-ask");
  #searching = false;
  #stopped = false;

  constructor(private readonly api: Api, private readonly texts: () => Texts) {
    this.#button?.addEventListener("click", () => void (this.#searching ? this.#stop() : this.#ask()));
  }

  /** What was found belongs to a device that is another one now. */
  outdated(): void {
    this.#place?.querySelector("button")?.remove();
  }

  async #stop(): Promise<void> {
    this.#stopped = true;
    try {
      await this.api.thinnestStop();
    } catch {
      // The search's own answer says what is wrong.
    }
  }

  async #ask(): Promise<void> {
    const place = this.#place;
    const button = this.#button;
    if (!place || !button) return;
    const words = button.textContent ?? "";
    const value = (id: string): string => (document.getElementById(id) as HTMLInputElement | null)?.value ?? "";
    const where = document.querySelector<HTMLInputElement>('input[name="thin_where"]:checked')?.value;
    for (const id of ["thin-drop", "thin-safety"]) document.getElementById(id)?.removeAttribute("aria-invalid");
    this.#searching = true;
    this.#stopped = false;
    button.textContent = "Stop";
    const bar = html("progress", { max: "1", value: "0", "aria-label": "How far the search is" });
    const doing = html("p", {}, "Beginning");
    place.replaceChildren(doing, bar);
    const looking = window.setInterval(() => void this.#look(bar, doing), LOOK_AGAIN_MS);
    try {
      const found = await this.api.thinnest(this.texts(), { arch_drop: value("thin-drop"), safety: value("thin-safety"), arch_only: where === "arch" });
      if (this.#stopped) {
        // The last wall may have been done before the word to stop arrived; whoever stopped wants none of it.
        place.replaceChildren(html("p", {}, "Stopped; no wall was chosen."));
        return;
      }
      place.replaceChildren(html("p", { class: found.texts ? "" : "note attention" }, found.words));
      const texts = found.texts;
      if (texts) {
        const take = html("button", { type: "button" }, found.take);
        take.addEventListener("click", () => {
          this.onTake(texts);
          place.replaceChildren(html("p", {}, "Taken over. Undo takes it back; compute the strength again to see it in full."));
          button.focus();
        });
        place.append(take);
      }
    } catch (fault) {
      const said = fault instanceof Refusal ? fault.message : "The wall could not be looked for.";
      place.replaceChildren(html("p", { class: "note attention" }, said));
      if (fault instanceof Refusal && fault.field.startsWith("thin_")) {
        const field = document.getElementById(fault.field.replace("_", "-"));
        field?.setAttribute("aria-invalid", "true");
        field?.focus();
      }
    } finally {
      window.clearInterval(looking);
      this.#searching = false;
      button.textContent = words;
    }
  }

  async #look(bar: HTMLProgressElement, doing: HTMLElement): Promise<void> {
    try {
      const far = await this.api.thinnestFar();
      if (!this.#searching || !far.words) return;
      bar.value = far.share;
      if (doing.textContent !== far.words) doing.textContent = far.words;
    } catch {
      // The search's own answer says what is wrong.
    }
  }
}
