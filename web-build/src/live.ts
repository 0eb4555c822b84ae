// The sketch follows the typing: the newest state of the fields is sent as soon as the last answer is there, and the
// parts that come back replace those with the same id. A pause or leaving the field saves.
const PAUSE = 900;

export const drawn: number[] = [];

export function live(): void {
  document.querySelectorAll<HTMLFormElement>("form[data-live]").forEach(watch);
}

function watch(form: HTMLFormElement): void {
  const url = form.dataset.live;
  if (!url) return;
  let busy = false;
  let wanted = 0;
  let timer = 0;

  const draw = async (): Promise<void> => {
    if (busy) return;
    busy = true;
    const from = wanted;
    wanted = 0;
    try {
      const answer = await fetch(url, { method: "POST", body: new URLSearchParams(texts(form)) });
      if (answer.status === 200) {
        swap(await answer.text());
        drawn.push(performance.now() - from);
        document.documentElement.dataset.drawn = drawn.map((ms) => ms.toFixed(1)).join(" ");
      }
    } catch {
      // the server is away: what is typed stays in the fields, and saving says so
    } finally {
      busy = false;
      if (wanted) void draw();
    }
  };

  const save = (): void => {
    window.clearTimeout(timer);
    if (form.hasAttribute("data-unsaved")) window.htmx.trigger(form, "save", {});
  };

  form.addEventListener("input", () => {
    wanted ||= performance.now();
    form.setAttribute("data-unsaved", "");
    const said = document.getElementById("said");
    if (said) said.textContent = form.dataset.unsavedText ?? "";
    window.clearTimeout(timer);
    timer = window.setTimeout(save, PAUSE);
    void draw();
  });
  form.addEventListener("change", save);
  let sent = "";
  form.addEventListener("htmx:beforeRequest", () => {
    sent = texts(form).toString();
  });
  form.addEventListener("htmx:afterRequest", (event) => {
    const detail = (event as CustomEvent<{ successful: boolean }>).detail;
    if (detail.successful && fields(form) === sentFields(sent)) form.removeAttribute("data-unsaved");
  });
}

function texts(form: HTMLFormElement): URLSearchParams {
  const all = new URLSearchParams();
  for (const [name, value] of new FormData(form)) if (typeof value === "string") all.append(name, value);
  return all;
}

function fields(form: HTMLFormElement): string {
  return sentFields(texts(form).toString());
}

function sentFields(text: string): string {
  return [...new URLSearchParams(text)].filter(([name]) => name.startsWith("f:")).join("\n");
}

function swap(html: string): void {
  const template = document.createElement("template");
  template.innerHTML = html;
  for (const part of [...template.content.children]) {
    const old = part.id ? document.getElementById(part.id) : null;
    if (!old) continue;
    part.removeAttribute("hx-swap-oob");
    const left = old.scrollLeft;
    old.replaceWith(part);
    part.scrollLeft = left;
  }
}
