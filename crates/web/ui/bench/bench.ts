// Starts the shell bench in `#bench[data-order]`; without script the form beside it works by itself.

import "./bench.css";
import { Api, Refusal } from "./api.js";
import { ShellBench } from "./shell-bench.js";

async function start(mount: HTMLElement): Promise<void> {
  const word = mount.querySelector("[data-progress]");
  const form = document.getElementById("order-form");
  if (!(form instanceof HTMLFormElement)) return;
  const late = window.setTimeout(() => {
    if (word) word.textContent = "Setting the foot up.";
  }, 500);
  try {
    const api = new Api(mount.dataset["order"] ?? "");
    const foot = await api.foot();
    word?.remove();
    const bench = new ShellBench(mount, form, api, foot);
    document.documentElement.classList.add("bench-live");
    await bench.first();
    mount.dataset["state"] = "ready";
  } catch (fault) {
    mount.dataset["state"] = "failed";
    const said = fault instanceof Refusal ? fault.message : "The picture could not start here; the form works without it, and the workshop drawings stand at its end.";
    const place = word?.isConnected ? word : mount.appendChild(document.createElement("p"));
    place.textContent = said;
  } finally {
    window.clearTimeout(late);
  }
}

const mount = document.getElementById("bench");
if (mount) void start(mount);
