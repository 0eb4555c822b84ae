// What another window did is shown here without touching what is being typed: fields that nobody typed into take the new
// value, a field that somebody did keeps it and says what the other one wrote. Drawings and lists are exchanged.
import { tab } from "./here";

const EVERY = 2000;

type News = { version: number; stamp: string; changed: boolean; worked: boolean };
type Control = HTMLInputElement | HTMLSelectElement;

export function news(): void {
  const main = document.querySelector<HTMLElement>("main[data-news]");
  if (!main) return;
  let busy = false;
  const look = async (): Promise<void> => {
    if (busy || document.visibilityState !== "visible" || document.querySelector(".htmx-request")) return;
    busy = true;
    try {
      const query = new URLSearchParams({ since: main.dataset.since ?? "0", stamp: main.dataset.stamp ?? "", tab });
      const answer = await fetch(`${main.dataset.news}?${query}`);
      if (answer.status !== 200) return;
      const told = (await answer.json()) as News;
      if (told.changed || told.worked) await show(main, told);
      main.dataset.since = String(told.version);
      main.dataset.stamp = told.stamp;
    } catch {
      // the server is away: saving says so
    } finally {
      busy = false;
    }
  };
  window.setInterval(() => void look(), EVERY);
  document.addEventListener("visibilitychange", () => void look());
}

async function show(main: HTMLElement, told: News): Promise<void> {
  const answer = await fetch(location.href);
  if (answer.status === 404) banner(main); // what this page shows was taken out
  if (answer.status !== 200) return;
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  if (names(page) !== names(document)) {
    if (typing()) banner(main);
    else location.reload();
    return;
  }
  if (told.changed) {
    page.querySelectorAll<HTMLInputElement>("input[name^='w:']").forEach((was) => take(main, page, was));
    document.querySelectorAll<HTMLInputElement>("input[data-version]").forEach((v) => (v.value = String(told.version)));
  }
  const planned = plans(told.stamp) !== plans(main.dataset.stamp ?? "");
  const whole = main.querySelector("[data-follows]") === null && (told.changed || planned);
  if (whole && !typing() && main.textContent !== page.getElementById("main")?.textContent) location.reload();
  page.querySelectorAll<HTMLElement>("[data-follows]").forEach(exchange);
  const said = document.getElementById("said");
  if (said && told.changed && !document.querySelector("[data-unsaved]")) said.textContent = main.dataset.shown ?? "";
}

function plans(stamp: string): string {
  return stamp.split(" ")[0] ?? "";
}

function names(root: ParentNode): string {
  return [...root.querySelectorAll<HTMLInputElement>("input[name^='w:']")].map((i) => i.name).join("\n");
}

const TYPED = "input:not([type]), textarea";
const WRITTEN = "textarea, input:not([type=checkbox]):not([type=radio]):not([type=hidden]):not([type=file]), select";

function typing(): boolean {
  if (document.querySelector("[data-unsaved]") || document.activeElement?.matches(WRITTEN)) return true;
  return [...document.querySelectorAll<HTMLInputElement>(`main :is(${TYPED})`)].some(touched);
}

function touched(control: HTMLInputElement): boolean {
  const was = document.getElementsByName(control.name.replace(/^f:/, "w:"))[0] as HTMLInputElement | undefined;
  return control.value !== (was && was !== control ? was.value : control.defaultValue);
}

function take(main: HTMLElement, page: Document, fresh: HTMLInputElement): void {
  const was = document.getElementsByName(fresh.name)[0] as HTMLInputElement | undefined;
  if (!was || was.value === fresh.value) return;
  const field = `f:${fresh.name.slice(2)}`;
  const mine = [...document.getElementsByName(field)] as Control[];
  const theirs = [...page.getElementsByName(field)] as Control[];
  if (text(mine) !== was.value) {
    warn(main, mine[0], fresh.value);
    return;
  }
  mine.forEach((control, n) => {
    const other = theirs[n];
    if (!other) return;
    if (control instanceof HTMLInputElement && control.type === "checkbox") {
      control.checked = (other as HTMLInputElement).checked;
    } else {
      control.value = other.value;
    }
    control.classList.add("moved");
  });
  was.value = fresh.value;
}

function text(controls: Control[]): string {
  if (controls[0] instanceof HTMLInputElement && controls[0].type === "checkbox") {
    return (controls as HTMLInputElement[]).filter((c) => c.checked).map((c) => c.value).join(", ");
  }
  return controls[0]?.value ?? "";
}

function warn(main: HTMLElement, control: Control | undefined, theirs: string): void {
  const ids = control?.getAttribute("aria-describedby")?.split(" ") ?? [];
  const place = ids.map((id) => document.getElementById(id)).find((e) => e?.classList.contains("state"));
  if (!place) return;
  place.querySelector("[data-elsewhere]")?.remove();
  const note = document.createElement("span");
  note.dataset.elsewhere = "";
  note.className = "bad";
  note.textContent = ` ${(main.dataset.elsewhere ?? "{}").replace("{}", theirs)}`;
  place.append(note);
}

function exchange(fresh: HTMLElement): void {
  const old = document.getElementById(fresh.id);
  if (!old || old.outerHTML === fresh.outerHTML) return;
  if (fresh.dataset.follows === "still" && document.querySelector("[data-unsaved]")) return;
  const at = old.contains(document.activeElement) ? document.activeElement : null;
  if (at?.matches(WRITTEN) || [...old.querySelectorAll<HTMLInputElement>(TYPED)].some(touched)) return;
  old.replaceWith(fresh);
  window.htmx.process(fresh);
  if (at?.id) document.getElementById(at.id)?.focus();
}

function banner(main: HTMLElement): void {
  if (document.getElementById("moved")) return;
  const note = document.createElement("div");
  note.id = "moved";
  note.className = "note warn";
  note.setAttribute("role", "status");
  const words = document.createElement("p");
  words.textContent = main.dataset.moved ?? "";
  const again = document.createElement("button");
  again.textContent = main.dataset.again ?? "";
  again.addEventListener("click", () => location.reload());
  note.append(words, again);
  main.prepend(note);
}
