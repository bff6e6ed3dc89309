import { FIGURE_STYLE } from './figure-style.ts'
import { PRINT_STYLE } from './print-style.ts'
import { READER_STYLE } from './reader-style.ts'

/** The page's own look: paper, ink and one marsh green; red only where a person must look today. */
export const STYLE = `
:root{color-scheme:light dark;--paper:#fbfaf6;--card:#ffffff;--ink:#1d2327;--soft:#566068;--line:#d9dcd6;--accent:#0e5a4f;--accent-soft:#e3efea;--urgent:#9b1c31;--urgent-soft:#fbe9eb;--caution:#6d4a00;--caution-soft:#fbf1d8;--measure:46rem;--serif:Charter,"Bitstream Charter","Iowan Old Style","Source Serif Pro",Georgia,serif;--sans:Inter,"Segoe UI",system-ui,-apple-system,"Helvetica Neue",Arial,sans-serif}
@media (prefers-color-scheme:dark){:root{--paper:#14181a;--card:#1c2225;--ink:#e9ece9;--soft:#a8b1b3;--line:#384144;--accent:#7fcdb9;--accent-soft:#1d322d;--urgent:#ff9aa6;--urgent-soft:#3a1d22;--caution:#f0cf7f;--caution-soft:#352c16}}
*{box-sizing:border-box}
[hidden]{display:none!important}
a,b,span,strong,em,code,label,option,bdi{unicode-bidi:isolate}
html{scroll-padding-top:6.5rem;-webkit-text-size-adjust:100%}
@media (prefers-reduced-motion:no-preference){html{scroll-behavior:smooth}}
body{margin:0;background:var(--paper);color:var(--ink);font:400 1rem/1.55 var(--sans);overflow-wrap:anywhere}
a{color:var(--accent);text-underline-offset:.15em}
a:focus-visible,button:focus-visible,summary:focus-visible,input:focus-visible,select:focus-visible,[tabindex]:focus-visible{outline:3px solid var(--accent);outline-offset:2px;border-radius:3px}
.skip{position:absolute;left:-999rem}
.skip:focus{left:1rem;top:1rem;z-index:9;background:var(--card);padding:.5rem 1rem}
header.top{border-bottom:1px solid var(--line);background:var(--card)}
.wrap{max-width:72rem;margin:0 auto;padding:0 clamp(1rem,4vw,2.5rem)}
header.top .wrap{padding-top:1.2rem;padding-bottom:.8rem}
main>h2:first-child{margin-top:.6rem;border-top:0;padding-top:0}
h1,h2,h3,h4{font-family:var(--serif);line-height:1.2;font-weight:600;text-wrap:balance}
h1{font-size:clamp(1.7rem,1.2rem + 2vw,2.5rem);margin:0 0 .3rem}
h2{font-size:1.55rem;margin:3rem 0 .6rem;padding-top:.8rem;border-top:2px solid var(--accent)}
h3{font-size:1.15rem;margin:1.8rem 0 .3rem}
p,ul,ol{max-width:var(--measure);margin:.5rem 0 1rem}
.meta{color:var(--soft);margin:0;font-size:.92rem}
nav.contents{position:sticky;top:0;z-index:5;background:var(--paper);border-bottom:1px solid var(--line)}
nav.contents .wrap{display:flex;gap:1rem;align-items:center;padding-top:.6rem;padding-bottom:.6rem}
nav.contents .links{display:flex;flex:1;min-width:0;gap:.3rem 1.2rem;overflow-x:auto;scrollbar-width:thin;padding:2px}
@media (min-width:60rem){nav.contents .links{flex-wrap:wrap;row-gap:0;line-height:1.35;overflow:visible}}
@media not all and (min-width:60rem){nav.contents .links{padding-right:2rem;mask-image:linear-gradient(to right,#000 calc(100% - 2rem),transparent)}}
nav.contents a{white-space:nowrap;text-decoration:none;font-size:.92rem;padding:.15rem 0;border-bottom:2px solid transparent}
nav.contents button{font:inherit;font-size:.92rem;white-space:nowrap;color:var(--accent);background:var(--paper);border:1px solid var(--accent);border-radius:4px;padding:.05rem .7rem;cursor:pointer}
.slides main,.slides header.top .wrap{max-width:76rem}
.slides{font-size:1.12rem;padding-bottom:4rem}
.slides .off,.slides footer,.slides nav.contents,.slides .skip{display:none!important}
.slides main>h2{margin-top:1rem}
.slides .drawing svg{width:100%;max-height:calc(100vh - 22rem)}.slides .grid{grid-template-columns:repeat(2,1fr)}.slides figure{margin:.6rem 0}.slides details{display:none}
.slides header.top{border:0;background:none}
.slides header.top .wrap{padding-top:28vh}
#deck{display:none}
.slides #deck{display:flex;position:fixed;inset:auto 0 0 0;z-index:6;gap:.6rem;align-items:center;padding:.5rem clamp(1rem,4vw,2.5rem);background:var(--card);border-top:1px solid var(--line);font-size:.92rem}
#deck button{font:inherit;color:inherit;background:var(--paper);border:1px solid var(--soft);border-radius:4px;padding:.2rem .8rem;cursor:pointer}
#deck span{flex:1;overflow:hidden;text-overflow:ellipsis;white-space:nowrap}
nav.contents a:hover{border-color:var(--accent)}
main{padding:1.2rem 0 3rem}
.tiles{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(10.5rem,100%),1fr));gap:.8rem;margin:1rem 0 1.4rem;padding:0;max-width:none;list-style:none}
.tile{background:var(--card);border:1px solid var(--line);border-top:3px solid var(--accent);border-radius:6px;padding:.7rem .9rem;display:flex;flex-direction:column}
.tile .label{font-size:.86rem;color:var(--soft);line-height:1.3}
.tile:only-child{max-width:20rem}
.tile .value{font:600 1.75rem/1.2 var(--serif);margin:.15rem 0;text-wrap:balance;font-variant-numeric:tabular-nums lining-nums}
.tile .interval,.tile .note{font-size:.84rem;color:var(--soft);line-height:1.35}
.notice{border-left:4px solid var(--accent);background:var(--accent-soft);padding:.7rem 1rem;margin:1rem 0;border-radius:0 6px 6px 0;max-width:50rem}
.notice strong.head{display:block}
.notice p{margin:.25rem 0 0}
.notice.urgent{border-color:var(--urgent);background:var(--urgent-soft)}
.notice.urgent strong.head{color:var(--urgent)}
.notice.caution{border-color:var(--caution);background:var(--caution-soft)}
.notice.caution strong.head{color:var(--caution)}
ol.entries{list-style:none;padding:0;margin:.8rem 0;max-width:none;border-top:1px solid var(--line)}
ol.entries>li{border-bottom:1px solid var(--line);padding:.5rem .2rem .5rem .9rem;line-height:1.45;border-left:4px solid var(--line);display:grid;grid-template-columns:minmax(7rem,11rem) 1fr;gap:.1rem 1.2rem}
ol.entries>li.urgent{border-left-color:var(--urgent)}
ol.entries>li.caution{border-left-color:var(--caution)}
ol.entries .who{font-weight:650;overflow-wrap:anywhere}
ol.entries .under{display:block;font-size:.82rem;font-weight:400;color:var(--soft)}
ol.entries .flag{display:inline-block;font-size:.78rem;font-weight:650;border:1px solid currentColor;border-radius:4px;padding:0 .4rem;margin-right:.5rem;color:var(--soft)}
ol.entries .urgent .flag{color:var(--urgent)}
ol.entries .caution .flag{color:var(--caution)}
ol.entries ul{max-width:none;margin:.15rem 0 0;padding-left:1.1rem;color:var(--soft);font-size:.9rem}
:target,.here{background:var(--accent-soft);outline:2px solid var(--accent)}
${FIGURE_STYLE}.live{position:relative;width:fit-content;max-width:100%}
.live.time{cursor:crosshair;touch-action:pan-y;user-select:none;-webkit-user-select:none}
.live svg{overflow:visible}
.band,.ring{position:absolute;pointer-events:none;border:2px solid var(--accent);border-radius:2px}
.band{background:var(--accent);opacity:.25}
.unseen{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);white-space:nowrap}
.tools .explore{color:var(--accent);border-color:var(--line);font-size:.84rem;cursor:pointer}
.tools .explore:hover{border-color:var(--accent)}
.tools .explore[aria-pressed=true]{background:var(--accent);color:var(--paper)}
.tools .span{display:flex;flex-wrap:wrap;gap:.3rem .6rem;align-items:center;font-size:.88rem}
.tools .hint{color:var(--soft)}
details.filters{display:none;margin:.6rem 0}
.scripted details.filters{display:block}
.filters .fields{display:flex;flex-wrap:wrap;gap:.5rem 1.2rem;padding:.5rem 0}
.filters .fields span{display:flex;gap:.5rem;align-items:center;min-width:0}
.filters label{font-size:.88rem;font-weight:600}
.filters select{font:inherit;font-size:.92rem;color:inherit;background:var(--card);border:1px solid var(--soft);border-radius:4px;padding:.2rem .4rem;min-height:1.75rem;min-width:0;max-width:14rem}
.narrowed{display:flex;flex-wrap:wrap;gap:.3rem 1rem;align-items:center;padding:.35rem clamp(1rem,4vw,2.5rem);max-width:72rem;margin:0 auto;font-size:.9rem;font-weight:600}
.filtered{scroll-padding-top:9.5rem}
.narrowed[hidden]{display:none}
p.whole{display:flex;flex-wrap:wrap;gap:.35rem .8rem;align-items:center;width:fit-content;max-width:100%;font-size:.86rem;font-weight:600;color:var(--caution);background:var(--caution-soft);border-left:4px solid var(--caution);border-radius:0 4px 4px 0;padding:.3rem .7rem;margin:.3rem 0 .6rem}
p.whole button{font:inherit;color:inherit;background:none;border:1px solid currentColor;border-radius:4px;padding:.1rem .6rem;min-height:1.75rem;cursor:pointer}
ul.reasons{display:flex;flex-wrap:wrap;gap:.4rem;list-style:none;padding:0;margin:.6rem 0;max-width:none}
ul.reasons a{display:inline-block;text-decoration:none;border:1px solid var(--line);background:var(--card);border-radius:999px;padding:.12rem .7rem;font-size:.88rem}
section.group h3{margin:1.2rem 0 0}
section.group .count{font:600 .92rem var(--sans);color:var(--soft);margin-left:.3rem}
section.group .note{font-size:.88rem;color:var(--soft);margin:.1rem 0 .4rem}
p.part{font-size:.86rem;color:var(--soft);margin:.3rem 0}
.scroll{overflow-x:auto;max-width:100%}
.scroll.tall{max-height:38rem;overflow-y:auto;border-bottom:1px solid var(--line)}
.scroll.tall thead th{position:sticky;top:0;background:var(--paper)}
td.s{white-space:nowrap}
td.l{min-width:13rem}
table{border-collapse:collapse;font-size:.9rem;font-variant-numeric:tabular-nums lining-nums;min-width:min(100%,24rem)}
caption{text-align:left;font-weight:600;padding:.3rem 0}
th,td{padding:.32rem .8rem .32rem 0;border-bottom:1px solid var(--line);text-align:left;vertical-align:top;overflow-wrap:break-word}
td{max-width:28rem}
th{font-weight:600;color:var(--soft);border-bottom-color:var(--soft);vertical-align:bottom}
.n{text-align:right}
th button{all:unset;cursor:pointer;font-weight:600;min-height:1.5rem}
th button:focus-visible{outline:3px solid var(--accent)}
th[aria-sort=ascending] button::after{content:" \\2191"}
th[aria-sort=descending] button::after{content:" \\2193"}
.tools{display:none;gap:.6rem;align-items:center;margin:.3rem 0;font-size:.9rem}
.scripted .tools{display:flex;flex-wrap:wrap}
.tools input,.tools button{font:inherit;color:inherit;background:var(--card);border:1px solid var(--soft);border-radius:4px;padding:.2rem .5rem;min-height:1.75rem}
details{margin:.3rem 0 .9rem}
details:has(+details){margin-bottom:.1rem}
summary{cursor:pointer;color:var(--accent);font-size:.92rem;width:fit-content;padding:.15rem 0}
pre{overflow-x:auto;background:var(--card);border:1px solid var(--line);border-radius:6px;padding:.8rem;font:.82rem/1.5 ui-monospace,"SF Mono",Menlo,Consolas,monospace}
blockquote{margin:.5rem 0;padding-left:1rem;border-left:3px solid var(--line)}
blockquote blockquote blockquote{margin:0;padding:0;border:0}
main li li li li{margin-left:-1.5rem}
code{font-family:ui-monospace,"SF Mono",Menlo,Consolas,monospace;font-size:.9em}
fieldset.choice{border:0;min-width:0;padding:.5rem 0;margin:.6rem 0;display:flex;flex-wrap:wrap;gap:.35rem .5rem;align-items:center}
fieldset.choice legend{float:left;font-weight:600;margin-right:.6rem;padding:0}
fieldset.choice input{position:absolute;opacity:0}
fieldset.choice label{display:inline-block;max-width:100%;border:1px solid var(--soft);border-radius:999px;padding:.2rem .8rem;cursor:pointer;font-size:.92rem}
fieldset.choice input:checked+label{background:var(--accent);border-color:var(--accent);color:var(--paper)}
fieldset.choice input:focus-visible+label{outline:3px solid var(--accent);outline-offset:2px}
#tip{position:fixed;z-index:9;pointer-events:none;background:var(--ink);color:var(--paper);padding:.25rem .55rem;border-radius:4px;font-size:.85rem;max-width:18rem}
#tip[hidden]{display:none}
footer{border-top:1px solid var(--line);color:var(--soft);font-size:.88rem;padding:1.2rem 0 3rem}
footer h2{border:0;margin:0 0 .4rem;padding:0;font-size:1.1rem;color:var(--ink)}
footer td.hash{font-family:ui-monospace,Menlo,Consolas,monospace;font-size:.8rem;word-break:break-all;max-width:22rem}
@media (max-width:34rem){ul.reasons{flex-wrap:nowrap;overflow-x:auto;scrollbar-width:thin}ul.reasons a{white-space:nowrap}header.top .wrap{padding-top:.8rem;padding-bottom:.3rem}ol.entries>li{grid-template-columns:1fr}h2{margin-top:2.2rem}}
${READER_STYLE}${PRINT_STYLE}`
