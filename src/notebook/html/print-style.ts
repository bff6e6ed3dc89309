/**
 * The page on paper. What must not break is no grid and no flex box here: Chromium 143 breaks inside those whatever
 * `break-inside` says. It also repeats no table heading that holds a button, so a button gives way to its words. A caution
 * in front of charts asks for their room by an invisible foot, and so goes to the next page with them. A narrowed page says so, and its drawings are
 * the live ones, laid out for a desk.
 */
export const PRINT_STYLE = `@media print{
:root{--paper:#fff;--card:#fff;--ink:#000;--soft:#333;--line:#999;--accent:#0e5a4f;--accent-soft:#fff;--urgent:#8b0000;--urgent-soft:#fff;--caution:#5a3d00;--caution-soft:#fff;color-scheme:light}
@page{margin:16mm 14mm}
nav.contents>.wrap,.narrowed button,.whole button,details.filters,.scripted details.filters,ul.reasons,.slides #deck,.skip,.scripted .tools,fieldset.choice input:not(:checked)+label,#tip{display:none}
body{font-size:10pt}a{color:inherit}.wrap{max-width:none;padding:0}
nav.contents{position:static;border:0}h2{margin-top:1.4rem}
h2,h3,.finding,.who,caption,section.group .note,.notice.caution{break-after:avoid}
.reading{break-before:avoid}figure{margin:.8rem 0 1rem;display:flow-root}figure .reading{font-size:8.5pt;line-height:1.4;margin:0 0 0 64%}
figure,.tile,ol.entries>li,.notice,tr{break-inside:avoid}
p,li,.finding,.reading{orphans:3;widows:3}
.notice.caution:has(+.grid){border-left:0;padding-bottom:80mm;margin-bottom:-78mm;background:none}
ol.entries>li{display:flow-root}ol.entries .who{float:left;width:34mm}ol.entries .why{margin-left:38mm}
.grid,.grid>*{display:block}
.drawing .wide{display:block!important}
.drawing .narrow,.drawing:not(.unborn) .live{display:none!important}
figure>.drawing{float:left;width:62%}figure>details{clear:both}
.drawing svg{max-width:100%;max-height:200mm}
.tiles{grid-template-columns:repeat(auto-fit,minmax(34mm,1fr))}.off{display:revert!important}
.scroll,.scroll.tall{overflow:visible;max-height:none}.scroll.tall thead th{position:static}
table{font-size:8.5pt}footer td.hash{font-size:6pt;white-space:nowrap;word-break:normal;max-width:none}td{max-width:none}th,td{padding:.22rem .6rem .22rem 0}
thead{display:table-header-group;break-inside:avoid;break-after:avoid}tbody tr:first-child,tbody tr:nth-last-child(-n+2){break-before:avoid}th button{display:contents}
details:not([open])>summary,details.print>summary{display:none}
details.print::details-content{content-visibility:visible;block-size:auto}
@supports not selector(::details-content){details.print:not([open])>summary{display:list-item}}
}
`
