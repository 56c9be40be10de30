// A film, a foot scan, a print or a clip on its way in: how far it is, and a way to stop. A clip is taken apart
// here first: only its pictures go on.

import { isClip, unpacked } from "./captures/clip.js";

export function uploads(): void {
  for (const form of document.querySelectorAll<HTMLFormElement>("form[data-upload]")) watch(form);
}

const OPENING: Record<string, string> = {
  film: "Opening the film …",
  scan: "Mending the surface and setting the foot up …",
  print: "Finding the foot …",
  photograph: "Opening the photograph …",
  clip: "Looking through the pictures …",
};

function watch(form: HTMLFormElement): void {
  const thing = form.dataset["upload"] ?? "film";
  const opening = OPENING[thing] ?? "Opening it …";
  const voice = document.createElement("p");
  voice.className = "upload-voice";
  voice.setAttribute("role", "status");
  const stop = document.createElement("button");
  stop.type = "button";
  stop.textContent = "Stop";
  stop.hidden = true;
  form.append(voice, stop);
  let halted = false;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    halted = false;
    stop.hidden = false;
    stop.onclick = () => {
      halted = true;
    };
    void ready(form, voice, () => halted).then(send, (fault: Error) => {
      voice.textContent = fault.message;
      stop.hidden = true;
    });
  });
  const send = (data: FormData): void => {
    const request = new XMLHttpRequest();
    request.open("POST", form.action);
    request.setRequestHeader("accept", "application/json");
    request.upload.addEventListener("progress", (p) => {
      const share = p.lengthComputable ? ` ${Math.round((100 * p.loaded) / p.total)} %` : "";
      voice.textContent = p.loaded === p.total ? opening : `Sending the ${thing}:${share}`;
    });
    const end = (words: string): void => {
      voice.textContent = words;
      stop.hidden = true;
    };
    request.addEventListener("load", () => {
      if (request.status < 400) {
        location.href = request.responseURL;
        return;
      }
      let words = `The ${thing} could not be taken in.`;
      try {
        const said = JSON.parse(request.responseText) as { error?: string; todo?: string };
        words = [said.error, said.todo].filter(Boolean).join(" ") || words;
      } catch {
        // Not JSON: the plain sentence stands.
      }
      end(words);
    });
    request.addEventListener("error", () => end(`The program does not answer. Start it again and choose the ${thing} once more.`));
    request.addEventListener("abort", () => end("Stopped; nothing was taken in."));
    stop.onclick = () => request.abort();
    request.send(data);
  };
}

/** What the form sends: a clip as its pictures. */
async function ready(form: HTMLFormElement, voice: HTMLElement, halted: () => boolean): Promise<FormData> {
  const data = new FormData(form);
  const file = data.get("file");
  if (form.dataset["upload"] !== "clip" || !(file instanceof File)) return data;
  if (/\.c3d$/i.test(file.name)) data.set("kind", "markers");
  if (!isClip(file)) return data;
  const second = (key: string, usual: number): number => {
    const typed = String(data.get(key) ?? "").trim();
    const number = Number(typed.replace(",", "."));
    return typed !== "" && number >= 0 ? number : usual;
  };
  const wish = { from: second("from", 0), to: second("to", Number.POSITIVE_INFINITY) };
  voice.textContent = "Opening the clip …";
  const packed = await unpacked(
    file,
    wish,
    (so) => {
      voice.textContent = `Taking the clip apart: ${so.kept} pictures, ${Math.round((100 * (so.at - wish.from)) / Math.max(so.of - wish.from, 1e-3))} %`;
    },
    halted,
  );
  data.set("file", packed, `${file.name.replace(/\.[^.]*$/, "")}.zip`);
  return data;
}
