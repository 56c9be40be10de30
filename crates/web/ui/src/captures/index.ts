// A capture under the hand: points over the picture are set and pulled, and every change of a step is read again
// at once. Without script the form does the same with its button.

import { type Saved, Asking, part } from "./asking.js";
import { Frames } from "./frames.js";
import { Handle, Placing } from "./handles.js";

export function captures(): void {
  const mount = document.getElementById("capture");
  if (mount) new CapturePage(mount);
}

class CapturePage {
  private readonly form = part<HTMLFormElement>("capture-steps");
  private readonly undo = part<HTMLFormElement>("capture-undo");
  private readonly voice = part("capture-voice");
  private readonly stage = part("stage");
  private readonly handles = new Map<string, Handle>();
  private readonly asking = new Asking((words) => this.say(words));
  private readonly placing: Placing;

  constructor(mount: HTMLElement) {
    const size = { width: Number(mount.dataset["width"]), height: Number(mount.dataset["height"]) };
    const save = (): Promise<void> => this.save("save");
    for (const field of this.form.querySelectorAll<HTMLInputElement>("[data-handle]:not([data-many])")) {
      this.handles.set(field.name, new Handle(this.stage, field, size, save));
    }
    this.placing = new Placing(this.stage, this.form, size, this.handles, save, (words) => this.say(words));
    this.form.addEventListener("change", (event) => {
      const field = event.target as HTMLInputElement;
      // A scale needs several fields; it waits for the button.
      if (field.closest("fieldset")?.querySelector('[name="scale"]')) return;
      void save();
    });
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      const act = (event as SubmitEvent).submitter?.getAttribute("value") ?? "save";
      void this.save(act);
    });
    this.undo.addEventListener("submit", (event) => {
      event.preventDefault();
      const data = new FormData(this.undo);
      const frame = this.form.elements.namedItem("frame");
      if (frame instanceof HTMLInputElement) data.set("frame", frame.value);
      void this.post(this.undo.action, data);
    });
    this.enlarge();
    if (mount.dataset["frames"]) new Frames(mount, this.form, this.asking, (at) => this.draw(at.svg, at.texts), (words) => this.say(words));
  }

  private enlarge(): void {
    const choice = document.getElementById("capture-size");
    if (!(choice instanceof HTMLSelectElement)) return;
    const scroll = this.stage.parentElement;
    choice.addEventListener("change", () => {
      this.stage.dataset["size"] = choice.value;
      // The middle stays in the middle.
      scroll?.scrollTo((scroll.scrollWidth - scroll.clientWidth) / 2, (scroll.scrollHeight - scroll.clientHeight) / 2);
    });
  }

  private save(act: string): Promise<void> {
    const data = new FormData(this.form);
    data.set("act", act);
    return this.post(this.form.action, data);
  }

  /** One after the other: each carries the revision the last one gave. */
  private post(address: string, data: FormData): Promise<void> {
    return this.asking.after(async () => {
      data.set("revision", this.revision().value);
      const answer = await this.asking.post(address, data);
      if (!answer) return;
      if (!answer.ok) {
        this.say([answer.error, answer.todo].filter(Boolean).join(" ") || "The steps could not be used; the page shows the last ones that could.");
        this.mark(answer.field);
        return;
      }
      this.show(answer.saved);
    });
  }

  private show(answer: Saved): void {
    part("capture-readings").innerHTML = answer.readings;
    for (const form of [this.form, this.undo]) {
      const revision = form.elements.namedItem("revision");
      if (revision instanceof HTMLInputElement) revision.value = String(answer.revision);
    }
    this.undo.hidden = !answer.can_undo;
    this.mark(undefined);
    this.draw(answer.svg, answer.texts);
    this.say(this.placing.next() ?? "Read again and saved.");
  }

  private draw(svg: string, texts: Record<string, string>): void {
    part("over").innerHTML = svg;
    for (const [key, text] of Object.entries(texts)) {
      const field = this.form.elements.namedItem(key);
      if (field instanceof HTMLInputElement || field instanceof HTMLSelectElement) field.value = text;
      else if (field instanceof RadioNodeList) field.value = text;
    }
    for (const handle of this.handles.values()) handle.place();
  }

  private mark(name: string | undefined): void {
    for (const field of this.form.querySelectorAll("[aria-invalid]")) field.removeAttribute("aria-invalid");
    const field = name ? this.form.elements.namedItem(name) : null;
    if (field instanceof HTMLElement) {
      field.setAttribute("aria-invalid", "true");
      field.focus();
    }
  }

  private revision(): HTMLInputElement {
    return this.form.elements.namedItem("revision") as HTMLInputElement;
  }

  private say(words: string): void {
    this.voice.textContent = words;
  }
}
