// Questions to the program, one after the other.

export interface Saved {
  revision: number;
  can_undo: boolean;
  svg: string;
  readings: string;
  texts: Record<string, string>;
}

export type Answer = { ok: true; saved: Saved } | { ok: false; error?: string | undefined; todo?: string | undefined; field?: string | undefined };

export class Asking {
  private last: Promise<void> = Promise.resolve();

  constructor(private readonly say: (words: string) => void) {}

  after(next: () => Promise<void>): Promise<void> {
    this.last = this.last.then(next);
    return this.last;
  }

  /** Nothing where the program does not answer; that is said. */
  async post(address: string, data: FormData): Promise<Answer | undefined> {
    const late = window.setTimeout(() => this.say("Reading it …"), 300);
    try {
      const response = await fetch(address, {
        method: "POST",
        headers: { accept: "application/json" },
        body: new URLSearchParams([...data].map(([key, value]) => [key, String(value)])),
      });
      const said = (await response.json()) as Saved & { error?: string; todo?: string; field?: string };
      return response.ok ? { ok: true, saved: said } : { ok: false, error: said.error, todo: said.todo, field: said.field };
    } catch {
      this.say("The program does not answer; start it again. What was read before is kept.");
      return undefined;
    } finally {
      window.clearTimeout(late);
    }
  }
}

export function part<E extends HTMLElement = HTMLElement>(id: string): E {
  const found = document.getElementById(id);
  if (!found) throw new Error(`the page has no ${id}`);
  return found as E;
}
