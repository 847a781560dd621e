import assert from "node:assert/strict";
import { test } from "node:test";
import {
  placeAfter,
  stepOfKey,
  stepOfSwipe,
} from "../../exercises/static/exercises/js/show-steps.js";

test("remotes, arrows and the space bar lead on and back", () => {
  for (const key of ["ArrowRight", "ArrowDown", "PageDown", " "]) {
    assert.equal(stepOfKey({ key }), "next");
  }
  for (const key of ["ArrowLeft", "ArrowUp", "PageUp"]) assert.equal(stepOfKey({ key }), "back");
  assert.equal(stepOfKey({ key: " ", shiftKey: true }), "back");
  assert.equal(stepOfKey({ key: "Home" }), "first");
  assert.equal(stepOfKey({ key: "End" }), "last");
});

test("keys of the browser and of nothing lead nowhere", () => {
  assert.equal(stepOfKey({ key: "ArrowLeft", altKey: true }), undefined);
  assert.equal(stepOfKey({ key: "PageDown", ctrlKey: true }), undefined);
  assert.equal(stepOfKey({ key: "Tab" }), undefined);
});

test("a finger leads on to the left, back to the right, and nowhere when it scrolls", () => {
  assert.equal(stepOfSwipe(-120, 10), "next");
  assert.equal(stepOfSwipe(120, -10), "back");
  assert.equal(stepOfSwipe(-120, 100), undefined);
  assert.equal(stepOfSwipe(-20, 0), undefined);
});

test("the show stops at both ends", () => {
  assert.equal(placeAfter("next", 4, 5), 4);
  assert.equal(placeAfter("back", 0, 5), 0);
  assert.equal(placeAfter("last", 1, 5), 4);
  assert.equal(placeAfter("first", 3, 5), 0);
  assert.equal(placeAfter("next", 1, 5), 2);
});
