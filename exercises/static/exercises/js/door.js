/** The pages at the door (front page, joining, own sheet): how the phone likes its pages, the worker, and the classes that the phone knows. */
import { find } from "./dom.js";
import { recallAll } from "./kept-class.js";
import { look } from "./look.js";
import { linkWorker } from "./worker-link.js";

look();
if (find("known-classes")) {
  const known = await recallAll();
  find("known").hidden = !known.length;
  find("known-classes").replaceChildren(...known.map(({ code, name }) => {
    const item = document.createElement("li");
    const link = document.createElement("a");
    link.href = `/c/${code}/`;
    link.textContent = name;
    item.append(link);
    return item;
  }));
}
linkWorker({ isBusy: () => [...document.querySelectorAll("input:not([type=hidden])")].some((input) => input.value !== input.defaultValue) });
