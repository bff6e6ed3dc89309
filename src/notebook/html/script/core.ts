/**
 * What the other parts stand on: making elements, unpacking what the page carries, and the page's state (filter, span,
 * place), which lives in the address after `#?`, so that a link brings another reader to the same view. An address that
 * is only a place (`#client-SM-1`) stays as short as it was.
 */
export const CORE = `
document.documentElement.classList.add('scripted')
const make=(tag,set,...inside)=>{const e=document.createElement(tag)
 for(const[k,v]of Object.entries(set||{}))if(k in e&&!k.includes('-'))e[k]=v;else e.setAttribute(k,v)
 e.append(...inside);return e}
const unpack=async block=>{const text=block.textContent
 const bytes=Uint8Array.from(atob(text),c=>c.charCodeAt(0))
 return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream('deflate-raw'))).text()}
const DAY=864e5
const state={filter:new Map(),span:null,to:''}
const listeners=[]
const iso=ms=>new Date(ms).toISOString().slice(0,10)
const time=text=>/^\\d{4}-\\d\\d-\\d\\d$/.test(text)?Date.parse(text):NaN
const dimensions=new Map()
const address=()=>{const q=new URLSearchParams()
 for(const[k,v]of state.filter)q.set(k,v)
 if(state.span)q.set('span',iso(state.span[0])+'..'+iso(state.span[1]))
 if(!String(q))return state.to?'#'+encodeURIComponent(state.to):''
 if(state.to)q.set('to',state.to)
 return '#?'+q}
const placeOf=text=>{if(document.getElementById(text))return text;try{return decodeURIComponent(text)}catch{return text}}
const readAddress=()=>{const h=location.hash
 if(!h.startsWith('#?')){state.to=placeOf(h.slice(1));return !h}
 const q=new URLSearchParams(h.slice(2))
 state.filter.clear();state.span=null;state.to=q.get('to')||''
 for(const[name,values]of dimensions)if(values.includes(q.get(name)))state.filter.set(name,q.get(name))
 const[from,to]=(q.get('span')||'').split('..').map(time)
 if(from<=to)state.span=[from,to]
 return true}
const changed=async(what,keep)=>{
 if(!keep)history.replaceState(null,'',address()||location.pathname+location.search)
 for(const hear of listeners)await hear(what)}
const reveal=async()=>{let at=state.to&&document.getElementById(state.to)
 if(state.to&&!at)for(const[box,t]of tables)if(box.querySelector('script.rows')&&!at)at=await t.find(state.to)
 for(const was of document.querySelectorAll('.here'))was.classList.remove('here')
 if(!at)return
 at.classList.add('here')
 for(let up=at;up;up=up.parentElement){if(up.tagName==='DETAILS')up.open=true;if(up.hidden)up.hidden=false}
 at.scrollIntoView()}
`
