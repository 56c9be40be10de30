// Keeps the order: a moment after the last change, one save after the other, each naming the revision it saw.

import { type Api, Refusal, type Saved, type Texts } from "./api.js";

const AFTER_MS = 900;

export class Saver {
  onSaved: (saved: Saved, sent: Texts) => void = () => {};
  onFault: (fault: Refusal) => void = () => {};
  onWaiting: () => void = () => {};
  #timer = 0;
  #queue: Promise<void> = Promise.resolve();
  #dirty = false;
  canUndo: boolean;

  constructor(private readonly api: Api, private readonly texts: () => Texts, public revision: number, canUndo: boolean) {
    this.canUndo = canUndo;
    window.addEventListener("beforeunload", (e) => {
      if (this.#dirty) e.preventDefault();
    });
  }

  changed(): void {
    this.#dirty = true;
    this.onWaiting();
    window.clearTimeout(this.#timer);
    this.#timer = window.setTimeout(() => void this.flush(), AFTER_MS);
  }

  /** Saves what is not saved yet; true where everything is kept now. */
  async flush(): Promise<boolean> {
    window.clearTimeout(this.#timer);
    this.#queue = this.#queue.then(() => this.#save());
    await this.#queue;
    return !this.#dirty;
  }

  async #save(): Promise<void> {
    if (!this.#dirty) return;
    this.#dirty = false;
    const sent = this.texts();
    try {
      this.#took(await this.api.save(sent, this.revision), sent);
    } catch (fault) {
      this.#dirty = true;
      this.onFault(fault instanceof Refusal ? fault : new Refusal("This change could not be saved; it is still here."));
    }
  }

  #took(saved: Saved, sent: Texts): void {
    this.revision = saved.revision;
    this.canUndo = saved.undo;
    for (const field of document.querySelectorAll<HTMLInputElement>('input[type="hidden"][name="revision"]')) field.value = String(saved.revision);
    this.onSaved(saved, sent);
  }

  /** One saved step back; null where the server refused. */
  async back(): Promise<Texts | null> {
    await this.flush();
    try {
      const saved = await this.api.undo(this.revision);
      this.#took(saved, saved.texts);
      return saved.texts;
    } catch (fault) {
      this.onFault(fault instanceof Refusal ? fault : new Refusal("The last save could not be taken back."));
      return null;
    }
  }
}
