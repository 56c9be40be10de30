// The last part of the form: limits and sizes as they change, and the making of the files with its progress.

import { type Api, type FinalState, type PreviewHead, Refusal } from "./api.js";
import { limitLine, written } from "./form.js";
import type { Saver } from "./saver.js";
import { html } from "./svg.js";

const LOOK_AGAIN_MS = 250;

export class Check {
  readonly #final = document.getElementById("final");
  #looking = false;

  constructor(private readonly api: Api, private readonly saver: Saver, private readonly id: string, private readonly say: (words: string) => void) {
    const form = document.getElementById("final-form");
    form?.addEventListener("submit", (e) => {
      e.preventDefault();
      void this.#make();
    });
    this.#final?.addEventListener("submit", (e) => {
      e.preventDefault();
      void this.api.final("stop");
    });
    const send = document.getElementById("send-form");
    send?.addEventListener("submit", (e) => {
      if (send.dataset["ready"] === "yes") return;
      e.preventDefault();
      void this.saver.flush().then((kept) => {
        if (!kept) return;
        send.dataset["ready"] = "yes";
        (send as HTMLFormElement).submit();
      });
    });
    if (this.#final?.dataset["state"] === "running") void this.#follow(null);
  }

  show(head: PreviewHead): void {
    const place = document.getElementById("limits");
    if (place) {
      const lines = head.limits.map((l) => limitLine(l, "li"));
      lines.push(...head.cautions.map((c) => html("li", {}, html("span", { class: "state attention" }, "for the maker"), ` ${c}`)));
      place.replaceChildren(lines.length ? html("ul", { class: "plain-list" }, ...lines) : html("p", { class: "none-yet" }, "Nothing that is known of the person stands against it."));
    }
    const effect = document.getElementById("effect");
    const words = effect?.querySelector("[data-effect]");
    effect?.toggleAttribute("hidden", head.effect === "");
    if (words && words.textContent !== head.effect) words.textContent = head.effect;
    document.getElementById("agree")?.toggleAttribute("hidden", !head.limits.some((l) => l.class === "alarm"));
    const sizes = document.getElementById("sizes");
    const s = head.sizes;
    if (sizes && s) {
      const pair = (name: string, value: string): HTMLElement => html("div", {}, html("dt", {}, name), html("dd", {}, value));
      sizes.replaceChildren(
        html("dl", { class: "b-sizes" }, pair("Length", `${written(s.length_mm, 1)} mm`), pair("Width", `${written(s.width_mm, 1)} mm`), pair("Height", `${written(s.height_mm, 1)} mm`), pair("Volume", `${written(s.volume_cm3, 1)} cm³`)),
      );
    }
  }

  /** The files belong to the order as it was. */
  outdated(): void {
    if (!this.#final || this.#final.dataset["state"] !== "done" || this.#final.querySelector(".b-outdated")) return;
    this.#final.prepend(html("p", { class: "note attention b-outdated" }, "The files below were made before the last change; make them again."));
  }

  async #make(): Promise<void> {
    if (!(await this.saver.flush())) return;
    try {
      await this.#follow(await this.api.final("begin"));
    } catch (fault) {
      this.say(fault instanceof Refusal ? fault.message : "The files could not be made.");
    }
  }

  async #follow(first: FinalState | null): Promise<void> {
    if (this.#looking) return;
    this.#looking = true;
    try {
      let now = first ?? (await this.api.final("state"));
      this.#render(now);
      while (now.state === "running") {
        await new Promise((r) => window.setTimeout(r, LOOK_AGAIN_MS));
        now = await this.api.final("state");
        this.#render(now);
      }
    } catch (fault) {
      this.say(fault instanceof Refusal ? fault.message : "The program does not say how far the files are; load the page again.");
    } finally {
      this.#looking = false;
    }
  }

  #render(now: FinalState): void {
    const place = this.#final;
    if (!place) return;
    if (now.state === "running" && place.dataset["state"] === "running") {
      const bar = place.querySelector("progress");
      const words = place.querySelector("[data-words]");
      if (bar && words) {
        bar.value = now.share;
        if (words.textContent !== now.words) words.textContent = now.words;
        return;
      }
    }
    place.dataset["state"] = now.state;
    if (now.state === "running") {
      const bar = html("progress", { max: "1", value: String(now.share), "aria-label": "How far the files are" });
      place.replaceChildren(html("p", { role: "status", "data-words": "" }, now.words), bar, html("form", { method: "post", action: `/order/${this.id}/final/stop` }, html("button", {}, "Stop")));
      return;
    }
    const parts: Node[] = [];
    if (now.outdated) parts.push(html("p", { class: "note attention b-outdated" }, "The files below were made before the last change; make them again."));
    if (now.words) parts.push(html("p", { role: "status", class: now.state === "failed" ? "note alarm" : "" }, now.words));
    if (now.done) parts.push(...this.#done(now.done));
    place.replaceChildren(...parts);
  }

  #done(done: NonNullable<FinalState["done"]>): Node[] {
    const files = done.files.map((f) => html("li", { class: "row-link" }, html("a", { href: `/order/${this.id}/files/${f.name}` }, f.words), " ", html("span", { class: "quiet" }, f.size)));
    const bodies = done.bodies.flatMap((b) => [html("p", { class: "small" }, html("strong", {}, b.name), `: ${b.words}`), ...b.faults.map((f) => html("p", { class: "note alarm" }, f))]);
    const cautions = done.cautions.map((c) => html("p", { class: "note attention" }, c));
    const head = html("tr", {}, ...["Dimension", "Prescribed", "Measured", "Kept?"].map((w, k) => html("th", { scope: "col", class: k === 1 || k === 2 ? "number" : "" }, w)));
    const rows = done.dimensions.map((d) => {
      const kept = d.state === "off" ? html("span", { class: "state outside" }, "no") : d.state === "kept" ? "yes" : "";
      return html("tr", {}, html("th", { scope: "row" }, d.what), html("td", { class: "number" }, d.asked), html("td", { class: "number" }, d.found), html("td", {}, kept));
    });
    const table = html("table", { class: "b-numbers" }, html("caption", { class: "hidden-words" }, "Dimensions measured on the written files"), html("thead", {}, head), html("tbody", {}, ...rows));
    return [html("ul", { class: "plain-list" }, ...files), ...bodies, ...cautions, table];
  }
}
