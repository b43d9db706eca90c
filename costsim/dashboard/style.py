"""The few rules of style that Streamlit has no setting for."""

from __future__ import annotations

STYLE = """
[data-testid=stMainBlockContainer] { padding: 1rem 2.2rem 2rem; max-width: 1500px; }
[data-testid=stMain] h1 { font-size: 1.6rem; line-height: 1.2; padding: 0.3rem 0 0.2rem; }
[data-testid=stMain] h2 { font-size: 1.35rem; padding: 0.6rem 0 0.2rem; }
[data-testid=stMain] h3 { font-size: 1.2rem; padding: 0.4rem 0 0; }
[data-testid=stMain] [data-testid=stMarkdown] h2 { font-size: 1.15rem; padding: 0.2rem 0; }
[data-testid=stSidebar][data-collapsed=false] { min-width: 258px !important; max-width: 258px !important; }
[data-testid=stSidebarNav] a { padding-top: 0.1rem; padding-bottom: 0.1rem; }
#skip { position: fixed; left: -999px; top: 0; z-index: 1000000; padding: 0.6rem 1rem; background: #00537f; color: #ffffff; font: 1rem sans-serif; }
#skip:focus { left: 0.5rem; top: 0.5rem; }
.st-key-stale { opacity: 0.55; }
[data-stale=true] { opacity: 0.5 !important; transition: none !important; }
[data-testid=stException] { display: none; }
[data-testid=stLayoutWrapper]:has(> [class*=st-key-last-house]):not(:has(.last-house a)) { display: none; }
[data-testid=stMetricValue] { font-size: 1.35rem; font-weight: 600; line-height: 1.15; }
[data-testid=stMetricValue], [data-testid=stMetricValue] * { white-space: normal !important; overflow: visible; text-overflow: clip; }
[class*=st-key-cards] [data-testid=stMarkdown] strong { font-size: 0.95rem; }
.st-key-example { background: #fff4d6; border-left: 5px solid #b45f06; padding: 0.1rem 0.8rem; border-radius: 4px; }
.st-key-example [data-testid=stMarkdown] p { font-size: 1rem; color: #3d2a00; }
.st-key-example [data-testid=stMarkdown] strong { font-size: 1.25rem; margin-right: 0.5rem; }
[class*=st-key-cards] { gap: 0.6rem; }
[class*=st-key-cards] [data-testid=stMarkdownContainer] { margin-bottom: 0; }
[class*=st-key-cards] [data-testid=stVerticalBlock] { gap: 0.15rem; }
[class*=st-key-cards] [data-testid=stMarkdown] p { font-size: 0.875rem; line-height: 1.3; margin: 0; }
[class*=st-key-cards] [data-testid=stLayoutWrapper] > [data-testid=stVerticalBlock] { padding-top: 0.4rem; padding-bottom: 0.4rem; }
[class*=st-key-cards] [class*=st-key-math] { position: absolute !important; right: 0.9rem; top: 0.25rem; width: 6.6rem; align-items: flex-end; }
[class*=st-key-cards] :is([class*=st-key-math], [class*=st-key-below]) button { min-height: 1.5rem; padding: 0; white-space: nowrap; }
[class*=st-key-cards] :is([class*=st-key-math], [class*=st-key-below]) button p { font-size: 0.8rem !important; text-decoration: underline; }
[class*=st-key-cards] [data-testid=stLayoutWrapper]:has([class*=st-key-math]) > [data-testid=stVerticalBlock] { position: relative; }
[data-testid=stPopoverBody] { max-width: min(92vw, 40rem); }
[data-testid=stPopoverBody] [data-testid=stVerticalBlock] { gap: 0.15rem; }
[data-testid=stPopoverBody]:has([data-testid=stFileUploader]) { max-height: min(26rem, 90vh) !important; }
[class*=st-key-cards] [data-testid=stMetricLabel] :is(div, p) { white-space: normal !important; overflow: visible; text-overflow: clip; }
@media (min-width: 641px) and (max-width: 1199px) { [class*=st-key-cards] [class*=st-key-math] { position: static !important; } }
[class*=st-key-unit-] { margin-top: -3.5rem; align-self: flex-end; }
[class*=st-key-unit-] input { padding: 0 0 0 0.45rem; text-overflow: clip; }
[class*=st-key-unit-] button { padding: 0 0.1rem; min-width: 0; width: 1.2rem; }
[class*=st-key-unit-slim] { width: 4.7rem !important; }
[class*=st-key-unit-wide] { width: 6.5rem !important; }
[class*=st-key-unit-long] { width: 8rem !important; }
[data-testid=stElementContainer]:has(+ [class*=st-key-unit-]) input { padding-right: 4.8rem; }
[data-testid=stElementContainer]:has(+ [class*=st-key-unit-wide]) input { padding-right: 6.6rem; }
[data-testid=stElementContainer]:has(+ [class*=st-key-unit-long]) input { padding-right: 8.1rem; }
[class*=st-key-cards] .st-key-addition button { min-height: 1.5rem; padding: 0; border: none; justify-content: flex-start; }
[class*=st-key-cards] .st-key-addition button p { font-size: 0.85rem; text-decoration: underline; text-align: left; }
.st-key-guessed [data-testid=stAlertContainer] { padding: 0.45rem 0.8rem; min-height: 0; }
.st-key-guessed [data-testid=stAlert] p { font-size: 0.875rem; line-height: 1.35; }
.st-key-look h2 { font-size: 1.1rem; padding: 0; }
.st-key-look [data-testid=stMarkdownContainer] { margin-bottom: 0; }
.st-key-look [data-testid=stVerticalBlock] { gap: 0.4rem; }
.js-plotly-plot text { fill: currentColor !important; }
[class*=st-key-schematic] img { background: #ffffff; border-radius: 6px; max-width: 900px; }
[class*=st-key-schematic-small] img { max-width: 500px !important; }
@media (min-width: 1200px) and (max-height: 820px) { [class*=st-key-schematic-small] img { max-height: 19.4rem; object-fit: contain; object-position: left; } }
[data-testid=stBaseButton-primary], [data-testid=stBaseButton-primary] * { background-color: #00537f; color: #ffffff !important; }
[data-testid=stBaseButton-primary] { border-color: #7cc4f5; }
@media (max-width: 768px) {
  [data-testid=stSidebarHeader] { position: sticky; top: 0; z-index: 2; }
  [data-testid=stSidebarHeader], [data-testid=stSidebarContent] { background: inherit; }
}
@media (max-width: 640px) { [data-testid=stMainBlockContainer] { padding: 3.9rem 1rem 2rem; } }
.broken { overflow-x: auto; border: 1px solid #8888; border-radius: 6px; font-size: 0.875rem; line-height: 1.3; }
.broken table { border-collapse: collapse; min-width: 100%; }
.broken :is(th, td) { padding: 0.35rem 0.5rem; text-align: left; vertical-align: top; font-weight: 400; border-bottom: 1px solid #8886; min-width: 3.5rem; }
.broken tbody tr:last-child > * { border-bottom: none; }
.broken thead th { font-weight: 600; vertical-align: bottom; }
.broken tr > :first-child { position: sticky; left: 0; max-width: 8.5rem; background: Canvas; border-right: 1px solid #8886; }
@media (prefers-reduced-motion: reduce) { * { animation: none !important; transition: none !important; } }
@media print {
  [data-testid=stSidebar], [data-testid=stHeader], [data-testid=stToolbar], button { display: none !important; }
  [data-testid=stMainBlockContainer] { max-width: none; padding: 0; }
}
"""
