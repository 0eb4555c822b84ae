// Everything that a page may need; each part looks for its own marks (data-…) and stays quiet where there are none.
import "./htmx";
import { live } from "./live";
import { keys } from "./keys";
import { progress } from "./progress";
import { bench } from "./bench";
import { drop } from "./drop";
import { here } from "./here";
import { sliders } from "./sliders";
import { clock } from "./clock";
import { solid } from "./lazy";
import { news } from "./news";
import { points } from "./points";
import { zoom } from "./zoom";

here();
live();
keys();
progress();
bench();
drop();
sliders();
clock();
solid();
news();
points();
zoom();
