"use strict";
// Every text of every chart, in each face: inside its canvas, and not on another text.
(function () {
  var faces = ["DejaVu Sans", "Liberation Sans", "sans-serif"], lines = [], texts = 0, faults = 0;
  function fault(chart, face, what) {
    faults++;
    if (lines.length < 60) lines.push(chart + " [" + face + "]: " + what);
  }
  faces.forEach(function (face) {
    document.querySelectorAll("section").forEach(function (section) {
      var svg = section.querySelector("svg"), canvas = svg.getBoundingClientRect(), boxes = [];
      svg.setAttribute("font-family", face);
      svg.querySelectorAll("text").forEach(function (t) {
        var b = t.getBoundingClientRect(), said = t.textContent;
        if (!said.trim()) return;
        // a line box is taller than its letters: what counts is the part between ascenders and descenders
        var trim = b.height * 0.14;
        boxes.push({ l: b.left, r: b.right, t: b.top + trim, b: b.bottom - trim, said: said });
        texts++;
      });
      boxes.forEach(function (p, i) {
        if (p.l < canvas.left - 0.5 || p.r > canvas.right + 0.5 || p.t < canvas.top || p.b > canvas.bottom)
          fault(section.id, face, "outside: " + p.said);
        for (var j = 0; j < i; j++) {
          var q = boxes[j];
          if (p.l < q.r - 0.5 && q.l < p.r - 0.5 && p.t < q.b && q.t < p.b)
            fault(section.id, face, "'" + p.said + "' on '" + q.said + "'");
        }
      });
    });
  });
  lines.push("layout: " + texts + " texts in " + document.querySelectorAll("section").length + " drawings and " +
    faces.length + " faces, " + faults + " faults");
  document.getElementById("report").textContent = lines.join("\n");
})();
