/** Finds people on the instructor's page by name and by mistake. Without it all of them stand there. */
const form = document.querySelector("[data-search-form]");

function search() {
  const name = form.querySelector("[data-search]").value.trim().toLocaleLowerCase();
  const cause = form.querySelector("[data-cause]").value;
  let found = 0;
  for (const row of document.querySelectorAll("[data-person]")) {
    const { person, causes } = row.dataset;
    const isNamed = person.toLocaleLowerCase().includes(name);
    row.hidden = !isNamed || (cause !== "" && !causes.split(" ").includes(cause));
    found += row.hidden ? 0 : 1;
  }
  document.querySelector("[data-nobody]").hidden = found > 0;
}

if (form) {
  form.hidden = false;
  form.addEventListener("input", search);
  form.addEventListener("submit", (event) => event.preventDefault());
}
