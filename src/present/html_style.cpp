#include "present/writers.hpp"

namespace frostread::present {

std::string_view html_style() {
    return R"css(
  :root { --ink: #1b1f23; --soft: #5a646e; --line: #cfd6dc; --warn: #9a1b1b; --warn-back: #fdf0ee; --bar: #2f6f9f; }
  * { box-sizing: border-box; }
  body { font: 16px/1.45 "Liberation Sans", Arial, Helvetica, sans-serif; color: var(--ink); background: #fff;
         max-width: 48rem; margin: 1.5rem auto; padding: 0 1rem; }
  h1 { font-size: 1.35rem; margin: 0 0 .2rem; }
  h2 { font-size: 1.05rem; margin: 1.4rem 0 .4rem; border-bottom: 1px solid var(--line); padding-bottom: .15rem; }
  p { margin: .35rem 0; }
  .unit, .small { color: var(--soft); font-size: .9rem; }
  .answer { font-size: 1.15rem; font-weight: bold; margin: .6rem 0; }
  ul.cautions { list-style: none; margin: .6rem 0; padding: .4rem .7rem; border-left: 5px solid var(--warn);
                background: var(--warn-back); }
  ul.cautions li { margin: .25rem 0; font-weight: bold; color: var(--warn); }
  ul.cautions li::before { content: "! "; }
  table { border-collapse: collapse; width: 100%; margin: .4rem 0; }
  td, th { text-align: left; padding: .18rem .5rem .18rem 0; vertical-align: top; border-bottom: 1px solid #eef1f3; }
  td.number, th.number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
  td.bar { width: 30%; }
  td.bar span { display: block; height: .8rem; background: var(--bar); min-width: 1px; margin-top: .25rem;
                -webkit-print-color-adjust: exact; print-color-adjust: exact; }
  .next { border: 2px solid var(--ink); padding: .3rem .9rem .7rem; margin: 1.2rem 0; }
  .next h2 { border: 0; margin-top: .5rem; }
  ol { margin: .4rem 0; padding-left: 1.6rem; }
  li { margin: .15rem 0; }
  @media print { body { margin: 0; max-width: none; font-size: 11pt; } .next, table, ul.cautions { break-inside: avoid; } }
)css";
}

}  // namespace frostread::present
