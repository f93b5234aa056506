/* A cycle can be chosen in a picture: a click on its mark opens it, as the list of cycles does; arrow keys on the
   magnified cycle step to the one before and the next. Marks of our pictures carry stress and cycle. */

for (const figure of document.querySelectorAll("#run, #cycles")) {
  figure.addEventListener("click", (event) => {
    const item = event.target.__data__;
    const datum = item && !Array.isArray(item) && item.datum;
    if (!datum || datum.cycle === undefined || datum.stress === undefined) return;
    const here = new URL(location.href);
    here.searchParams.set("cycle", `${datum.cycle}@${datum.stress}`);
    here.hash = "cycle";
    location.assign(here);
  });
}

const magnified = document.querySelector("#cycle .drawn");
if (magnified) {
  magnified.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: "prev", ArrowRight: "next" }[event.key];
    const link = way && document.querySelector(`.steps a[rel="${way}"]`);
    if (link) { event.preventDefault(); link.click(); }
  });
}
