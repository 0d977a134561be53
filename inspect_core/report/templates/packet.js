"use strict";
// Paper shows every item: lists that are folded on the screen are opened for printing and folded again afterwards.
// The working of a calculation is printed where the reader has opened it.
let opened = [];
addEventListener("beforeprint", () => {
  opened = [...document.querySelectorAll("details:not([open], .working)")];
  for (const one of opened) one.open = true;
});
addEventListener("afterprint", () => {
  for (const one of opened) one.open = false;
  opened = [];
});
