// A print's page under the hand: the ends of the axis can be pulled, and every change of a step is read again
// at once. Without script the form does the same with its button.

interface Answer {
  revision: number;
  can_undo: boolean;
  svg: string;
  readings: string;
  texts: Record<string, string>;
}

const STEP_PX = 1;
const LARGE_STEP_PX = 10;

export function captures(): void {
  const mount = document.getElementById("capture");
  if (mount) new CapturePage(mount);
}

class CapturePage {
  private readonly form = part<HTMLFormElement>("capture-steps");
  private readonly undo = part<HTMLFormElement>("capture-undo");
  private readonly voice = part("capture-voice");
  private readonly stage = part("stage");
  private readonly width: number;
  private readonly height: number;
  private readonly handles: Handle[] = [];
  private asking: Promise<void> = Promise.resolve();

  constructor(mount: HTMLElement) {
    this.width = Number(mount.dataset["width"]);
    this.height = Number(mount.dataset["height"]);
    for (const field of this.form.querySelectorAll<HTMLInputElement>("[data-handle]")) {
      this.handles.push(new Handle(this.stage, field, this.width, this.height, () => this.save("save")));
    }
    this.form.addEventListener("change", (event) => {
      const field = event.target as HTMLInputElement;
      // A scale needs several fields; it waits for the button.
      if (field.closest("fieldset")?.querySelector('[name="scale"]')) return;
      void this.save("save");
    });
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      const act = (event as SubmitEvent).submitter?.getAttribute("value") ?? "save";
      void this.save(act);
    });
    this.undo.addEventListener("submit", (event) => {
      event.preventDefault();
      void this.post(this.undo.action, new FormData(this.undo));
    });
  }

  private save(act: string): Promise<void> {
    const data = new FormData(this.form);
    data.set("act", act);
    return this.post(this.form.action, data);
  }

  /** One after the other: each carries the revision the last one gave. */
  private post(address: string, data: FormData): Promise<void> {
    this.asking = this.asking.then(async () => {
      data.set("revision", this.revision().value);
      const late = window.setTimeout(() => this.say("Reading the print …"), 300);
      try {
        const response = await fetch(address, {
          method: "POST",
          headers: { accept: "application/json" },
          body: new URLSearchParams([...data].map(([key, value]) => [key, String(value)])),
        });
        const said = (await response.json()) as Partial<Answer> & { error?: string; todo?: string; field?: string };
        if (!response.ok) {
          this.say([said.error, said.todo].filter(Boolean).join(" ") || "The steps could not be used; the page shows the last ones that could.");
          this.mark(said.field);
          return;
        }
        this.show(said as Answer);
      } catch {
        this.say("The program does not answer; start it again. What was read before is kept.");
      } finally {
        window.clearTimeout(late);
      }
    });
    return this.asking;
  }

  private show(answer: Answer): void {
    part("over").innerHTML = answer.svg;
    part("capture-readings").innerHTML = answer.readings;
    for (const form of [this.form, this.undo]) {
      const revision = form.elements.namedItem("revision");
      if (revision instanceof HTMLInputElement) revision.value = String(answer.revision);
    }
    this.undo.hidden = !answer.can_undo;
    for (const [key, text] of Object.entries(answer.texts)) {
      const field = this.form.elements.namedItem(key);
      if (field instanceof HTMLInputElement || field instanceof HTMLSelectElement) field.value = text;
      else if (field instanceof RadioNodeList) field.value = text;
    }
    this.mark(undefined);
    for (const handle of this.handles) handle.place();
    this.say("Read again and saved.");
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

/** A place over the picture, kept in the text of its field. */
class Handle {
  private readonly button = document.createElement("button");
  private waiting = 0;

  constructor(
    private readonly stage: HTMLElement,
    private readonly field: HTMLInputElement,
    private readonly width: number,
    private readonly height: number,
    private readonly save: () => Promise<void>,
  ) {
    this.button.type = "button";
    this.button.className = "capture-handle";
    this.button.setAttribute("aria-label", `${field.dataset["handle"]}: move with the arrow keys`);
    stage.append(this.button);
    this.place();
    this.button.addEventListener("keydown", (event) => this.key(event));
    this.button.addEventListener("pointerdown", (event) => this.pull(event));
  }

  place(): void {
    const at = this.at();
    if (!at) return;
    this.button.style.left = `${(100 * (at[0] + 0.5)) / this.width}%`;
    this.button.style.top = `${(100 * (at[1] + 0.5)) / this.height}%`;
  }

  private at(): [number, number] | null {
    const [x, y] = this.field.value.split(",").map(Number);
    return x !== undefined && y !== undefined && Number.isFinite(x) && Number.isFinite(y) ? [x, y] : null;
  }

  private put(x: number, y: number): void {
    const within = (v: number, size: number): number => Math.min(Math.max(v, 0), size - 1);
    this.field.value = `${within(x, this.width).toFixed(1)}, ${within(y, this.height).toFixed(1)}`;
    this.place();
  }

  private key(event: KeyboardEvent): void {
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    const at = this.at();
    if (!way || !at) return;
    event.preventDefault();
    const step = event.shiftKey ? LARGE_STEP_PX : STEP_PX;
    this.put(at[0] + step * (way[0] as number), at[1] + step * (way[1] as number));
    // The last key of a row of them is read.
    window.clearTimeout(this.waiting);
    this.waiting = window.setTimeout(() => void this.save(), 250);
  }

  private pull(event: PointerEvent): void {
    event.preventDefault();
    this.button.focus();
    this.button.setPointerCapture(event.pointerId);
    const move = (moved: PointerEvent): void => {
      const box = this.stage.getBoundingClientRect();
      this.put(((moved.clientX - box.left) / box.width) * this.width - 0.5, ((moved.clientY - box.top) / box.height) * this.height - 0.5);
    };
    const end = (): void => {
      this.button.removeEventListener("pointermove", move);
      void this.save();
    };
    this.button.addEventListener("pointermove", move);
    this.button.addEventListener("pointerup", end, { once: true });
  }
}

function part<E extends HTMLElement = HTMLElement>(id: string): E {
  const found = document.getElementById(id);
  if (!found) throw new Error(`the page has no ${id}`);
  return found as E;
}
