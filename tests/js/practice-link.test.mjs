import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { isSame, readLink } from "../../exercises/static/exercises/js/practice-link.js";

const shared = JSON.parse(
  readFileSync(new URL("../../fixtures/shared/practice_links.json", import.meta.url), "utf8"),
);
const search = ({ declination, dial }) => `?${new URLSearchParams({ declination, dial })}`;

for (const link of shared.read) {
  test(`a link is read: ${JSON.stringify(link)}`, () =>
    assert.deepEqual(readLink(search(link)), {
      declination_deg: link.declination_deg,
      graduation_deg: link.graduation_deg,
    }));
}
for (const link of shared.refused) {
  test(`a link is refused: ${JSON.stringify(link)}`, () =>
    assert.equal(readLink(search(link)), null));
}
test("an address that says nothing means the usual place", () =>
  assert.ok(isSame(readLink(""), readLink("?declination=12E&dial=2"))));
test("another declination or dial is another place", () => {
  assert.equal(isSame(readLink("?declination=12W"), readLink("")), false);
  assert.equal(isSame(readLink("?dial=5"), readLink("")), false);
});
