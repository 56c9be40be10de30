// A film, a foot scan or a print on its way in: how far it is, and a way to stop.

export function uploads(): void {
  for (const form of document.querySelectorAll<HTMLFormElement>("form[data-upload]")) watch(form);
}

const OPENING: Record<string, string> = {
  film: "Opening the film …",
  scan: "Mending the surface and setting the foot up …",
  print: "Finding the foot …",
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
  form.addEventListener("submit", (event) => {
    event.preventDefault();
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
    stop.hidden = false;
    stop.onclick = () => request.abort();
    request.send(new FormData(form));
  });
}
