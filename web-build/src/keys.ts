// Enter goes to the next reading in tape order, and from the last one to the next face; Ctrl-Z and Ctrl-Y outside a field
// take changes back and make them again.
export function keys(): void {
  document.addEventListener("keydown", (event) => {
    const target = event.target as HTMLElement;
    if (event.key === "Enter" && target.matches("input[data-reading]")) {
      event.preventDefault();
      next(target as HTMLInputElement, event.shiftKey ? -1 : 1);
      return;
    }
    if (!(event.ctrlKey || event.metaKey) || target.matches("input, textarea, select")) return;
    const key = event.key.toLowerCase();
    const redo = key === "y" || (key === "z" && event.shiftKey);
    if (key === "z" || key === "y") {
      event.preventDefault();
      document.querySelector<HTMLButtonElement>(redo ? "[data-redo]" : "[data-undo]")?.click();
    }
  });
}

function next(input: HTMLInputElement, way: number): void {
  const all = [...document.querySelectorAll<HTMLInputElement>("input[data-reading]")];
  const found = all[all.indexOf(input) + way];
  if (found) {
    found.focus();
    found.select();
    return;
  }
  input.blur();
  if (way > 0) leave();
}

function leave(): void {
  const link = document.querySelector<HTMLAnchorElement>("a[data-next]");
  if (!link) return;
  if (!document.querySelector("[data-unsaved]")) {
    link.click();
    return;
  }
  const once = (): void => {
    if (document.querySelector("[data-unsaved]")) return;
    document.body.removeEventListener("htmx:afterRequest", later);
    link.click();
  };
  const later = (): void => void window.setTimeout(once, 0);
  document.body.addEventListener("htmx:afterRequest", later);
}
