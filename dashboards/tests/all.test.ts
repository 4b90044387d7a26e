// Every test of the pages that needs no browser, in one bundle: `npm test`.
import "./advice.test.ts";
import "./covers.test.ts";
import "./line.test.ts";
import "./plan.test.ts";
import "./sources.test.ts";
import "./telling.test.ts";
import "./words.test.ts";
import "./wet.test.ts";
import "./year.test.ts";
import "./zone.test.ts";
