import { createHash } from 'node:crypto'
import { escapeHtml } from '../html/escape.ts'

const STYLE = `
:root{color-scheme:light dark}
html,body{height:100%;margin:0}
body{display:flex;flex-direction:column;font:400 .92rem/1.5 Inter,"Segoe UI",system-ui,sans-serif;background:Canvas;color:CanvasText}
#frames{flex:1;position:relative;min-height:0}
iframe{position:absolute;inset:0;width:100%;height:100%;border:0}
iframe.next{visibility:hidden}
#bar{padding:.15rem 1rem;border-bottom:1px solid #0e5a4f;font-size:.82rem}
#error{margin:0;padding:.8rem 1rem;max-height:55vh;overflow:auto;white-space:pre-wrap;font:.82rem/1.5 ui-monospace,Menlo,Consolas,monospace;background:#fbe9eb;color:#6b0f1f;border-bottom:3px solid #9b1c31}
#error[hidden]{display:none}
@media (prefers-color-scheme:dark){#error{background:#3a1d22;color:#ffc9d0}}
`

/** The page swaps when its next form has loaded, at the same scroll, folds and choices. */
const SCRIPT = `
(()=>{'use strict'
const bar=document.getElementById('bar'),error=document.getElementById('error'),frames=document.getElementById('frames')
let shown=null,version=0
const carry=(from,to)=>{const a=from.contentDocument,b=to.contentDocument
 const open=[...a.querySelectorAll('details')].map(d=>d.open)
 b.querySelectorAll('details').forEach((d,i)=>{if(open[i])d.open=true})
 for(const r of a.querySelectorAll('input[type=radio]:checked')){const t=b.getElementById(r.id);if(t)t.checked=true}
 to.contentWindow.scrollTo({left:0,top:from.contentWindow.scrollY,behavior:'instant'})}
const load=v=>{for(const old of frames.querySelectorAll('.next'))old.remove()
 const next=document.createElement('iframe');next.className='next';next.title='The page';next.src='/page?'+v
 next.addEventListener('load',()=>{if(shown)carry(shown,next);next.className='';shown&&shown.remove();shown=next;document.title=next.contentDocument.title;document.body.dataset.version=v},{once:true})
 frames.append(next)}
const events=new EventSource('/events')
events.onmessage=e=>{const s=JSON.parse(e.data)
 bar.textContent=s.says;error.hidden=!s.error;error.textContent=s.error
 if(s.version!==version){version=s.version;load(version)}}
events.onerror=()=>{bar.textContent='waneline watch has ended; the page stays as it was.'}
})()
`

const hash = (text: string): string => `'sha256-${createHash('sha256').update(text).digest('base64')}'`

export const SHELL_POLICY = `default-src 'none'; style-src ${hash(STYLE)}; script-src ${hash(SCRIPT)}; connect-src 'self'; frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'`

/** The page around the page: a line on what is happening, errors, and the page itself as it would be written. */
export const shellHtml = (name: string): string => `<!doctype html>
<html lang="en">
<head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>${escapeHtml(name)}</title><style>${STYLE}</style></head>
<body>
<div id="bar" role="status">Running ${escapeHtml(name)}</div>
<pre id="error" role="alert" hidden></pre>
<div id="frames"></div>
<script>${SCRIPT}</script>
</body>
</html>
`
