// The frames of a clip: shown one by one with their points, and followed with progress.

import { type Asking, part } from "./asking.js";

interface AtFrame {
  svg: string;
  texts: Record<string, string>;
  seconds: string;
}

interface Following {
  state: "none" | "running" | "stopped" | "failed" | "done";
  share: number;
  words: string;
  error?: string;
  todo?: string;
}

const LOOK_AGAIN_MS = 250;

export class Frames {
  private readonly id: string;
  private readonly picture = part<HTMLImageElement>("frame-picture");
  private readonly slider = part<HTMLInputElement>("frame-slider");
  private readonly number = part<HTMLInputElement>("frame-at");
  private readonly seconds = part("frame-seconds");
  private readonly hidden: HTMLInputElement;
  private readonly count: number;
  private fetching = false;
  private wanted: number | undefined;

  constructor(
    mount: HTMLElement,
    form: HTMLFormElement,
    private readonly asking: Asking,
    private readonly draw: (at: AtFrame) => void,
    private readonly say: (words: string) => void,
  ) {
    this.id = mount.dataset["capture"] ?? "";
    this.count = Number(mount.dataset["frames"]);
    this.hidden = form.elements.namedItem("frame") as HTMLInputElement;
    this.slider.addEventListener("input", () => this.show(Number(this.slider.value)));
    this.number.addEventListener("change", () => this.show(Number(this.number.value)));
    const row = part<HTMLFormElement>("frame-form");
    row.addEventListener("submit", (event) => {
      event.preventDefault();
      this.show(Number(this.number.value));
    });
    for (const button of row.querySelectorAll<HTMLButtonElement>("[data-step]")) {
      button.addEventListener("click", () => this.show(Number(this.hidden.value) + Number(button.dataset["step"])));
    }
    part<HTMLFormElement>("follow-form").addEventListener("submit", (event) => {
      event.preventDefault();
      void this.follow("POST", "");
    });
    part("follow-state").querySelector("[data-stop]")?.addEventListener("click", () => void fetch(`/capture/${this.id}/follow/stop`, { method: "POST", headers: { accept: "application/json" } }));
    // Something may still be followed from before the page was loaded.
    void this.follow("GET", "");
  }

  private show(frame: number): void {
    const at = Math.min(Math.max(Math.round(frame) || 1, 1), this.count);
    for (const field of [this.slider, this.number, this.hidden]) field.value = String(at);
    this.wanted = at;
    if (!this.fetching) void this.fetch();
  }

  /** The last one asked for wins. */
  private async fetch(): Promise<void> {
    this.fetching = true;
    while (this.wanted !== undefined) {
      const at = this.wanted;
      this.wanted = undefined;
      try {
        this.picture.src = `/capture/${this.id}/frame/${at - 1}`;
        const [response] = await Promise.all([fetch(`/capture/${this.id}/at/${at}`, { headers: { accept: "application/json" } }), this.picture.decode().catch(() => undefined)]);
        if (!response.ok) throw new Error("refused");
        const said = (await response.json()) as AtFrame;
        if (this.wanted === undefined) {
          this.draw(said);
          this.seconds.textContent = said.seconds;
        }
      } catch {
        this.say("The frame could not be shown; load the page again.");
      }
    }
    this.fetching = false;
  }

  private follow(method: "GET" | "POST", way: string): Promise<void> {
    return this.asking.after(async () => {
      const state = part("follow-state");
      const bar = state.querySelector("progress");
      const words = state.querySelector("[data-words]");
      const ask = async (by: string): Promise<Following> => {
        const response = await fetch(`/capture/${this.id}/follow${way}`, { method: by, headers: { accept: "application/json" } });
        const said = (await response.json()) as Following;
        return response.ok ? said : { state: "failed", share: 0, words: [said.error, said.todo].filter(Boolean).join(" ") };
      };
      try {
        let now = await ask(method);
        if (method === "GET" && now.state !== "running") return;
        while (now.state === "running") {
          state.hidden = false;
          if (bar) bar.value = now.share;
          if (words) words.textContent = now.words;
          await new Promise((r) => window.setTimeout(r, LOOK_AGAIN_MS));
          now = await ask("GET");
        }
        state.hidden = true;
        this.say(now.words);
        if (now.state !== "done") return;
        history.replaceState(null, "", `/capture/${this.id}?frame=${this.hidden.value}#readings`);
        location.reload();
      } catch {
        this.say("The program does not say how far it is; load the page again.");
      }
    });
  }
}
