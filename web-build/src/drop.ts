// A job document dropped anywhere on the list of jobs is opened.
export function drop(): void {
  const form = document.querySelector<HTMLFormElement>("form[data-drop]");
  const input = form?.querySelector<HTMLInputElement>("input[type=file]");
  if (!form || !input) return;
  document.addEventListener("dragover", (event) => {
    event.preventDefault();
    form.classList.add("over");
  });
  document.addEventListener("dragleave", () => form.classList.remove("over"));
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    form.classList.remove("over");
    if (!event.dataTransfer?.files.length) return;
    input.files = event.dataTransfer.files;
    form.requestSubmit();
  });
}
