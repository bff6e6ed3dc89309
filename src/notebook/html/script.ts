/**
 * What a page does beyond being read, all of it also there without: tables sort and search, marks of a chart say their
 * record under the pointer, links to a place within a fold open
 * the fold, and the page runs as slides: by its button, then arrows, Home, End and Escape.
 */
export const SCRIPT = `
(()=>{'use strict'
document.documentElement.classList.add('scripted')
const collator=new Intl.Collator('en',{numeric:true})
for(const box of document.querySelectorAll('.tablebox')){
 const table=box.querySelector('table'),body=table.tBodies[0],rows=[...body.rows]
 const value=(row,i)=>{const c=row.cells[i];return c.dataset.v!==undefined?Number(c.dataset.v):c.textContent}
 ;[...table.tHead.rows[0].cells].forEach((th,i)=>{
  const button=document.createElement('button');button.type='button';button.textContent=th.textContent;th.textContent='';th.append(button)
  button.addEventListener('click',()=>{
   const down=th.getAttribute('aria-sort')==='ascending'
   for(const other of table.tHead.rows[0].cells)other.removeAttribute('aria-sort')
   th.setAttribute('aria-sort',down?'descending':'ascending')
   const sorted=rows.slice().sort((a,b)=>{const x=value(a,i),y=value(b,i)
    if(x==='')return 1;if(y==='')return -1
    const o=typeof x==='number'&&typeof y==='number'?x-y:collator.compare(String(x),String(y));return down?-o:o})
   body.append(...sorted)})})
 if('search' in box.dataset){
  const tools=document.createElement('div');tools.className='tools'
  const label=document.createElement('label');label.textContent='Search '
  const input=document.createElement('input');input.type='search';label.append(input)
  const count=document.createElement('span');count.setAttribute('role','status');count.textContent=rows.length+' rows'
  tools.append(label,count);box.prepend(tools)
  input.addEventListener('input',()=>{const q=input.value.toLowerCase();let n=0
   for(const row of rows){const hit=row.textContent.toLowerCase().includes(q);row.hidden=!hit;if(hit)n++}
   count.textContent=n+' of '+rows.length+' rows'})}}
const tip=document.createElement('div');tip.id='tip';tip.hidden=true;tip.setAttribute('aria-hidden','true');document.body.append(tip)
const place=(x,y)=>{tip.style.left=Math.min(x+14,innerWidth-tip.offsetWidth-8)+'px';tip.style.top=Math.max(8,y-tip.offsetHeight-10)+'px'}
document.addEventListener('pointermove',e=>{
 const mark=e.target instanceof Element&&e.target.closest('.drawing [aria-roledescription][aria-label]')
 const text=mark&&!/axis|legend/.test(mark.getAttribute('aria-roledescription'))&&mark.getAttribute('aria-label')
 if(!text){tip.hidden=true;return}
 tip.textContent=text;tip.hidden=false;place(e.clientX,e.clientY)})
const reveal=()=>{let id;try{id=decodeURIComponent(location.hash.slice(1))}catch{return}
 const at=id&&document.getElementById(id);if(!at)return
 for(let up=at.parentElement;up;up=up.parentElement)if(up.tagName==='DETAILS')up.open=true
 at.scrollIntoView()}
addEventListener('hashchange',reveal);if(location.hash)reveal()
const main=document.querySelector('main'),nav=document.querySelector('nav.contents .wrap')
let slides=[],at=0
const units=()=>[...main.children].flatMap(n=>n.classList.contains('option')?[...n.children]:[n])
const gather=()=>{const room=innerHeight-150,list=[{title:document.title,nodes:[document.querySelector('header.top')]}]
 let now=null,head=null,height=0
 for(const node of units()){if(!node.offsetHeight&&node.tagName!=='H2')continue
  const own=node.tagName==='H2',tall=node.offsetHeight
  if(own)head=node
  if(!now||own||height+tall>room&&now.nodes.some(n=>!/^(H2|FIELDSET)$/.test(n.tagName))){now={title:head?head.textContent:document.title,nodes:own||!head?[]:[head]};list.push(now);height=head?head.offsetHeight:0}
  now.nodes.push(node);height+=tall}
 return list}
const deck=document.createElement('div');deck.id='deck'
const say=document.createElement('span');say.setAttribute('role','status')
const key=(text,label,act)=>{const b=document.createElement('button');b.type='button';b.textContent=text;b.setAttribute('aria-label',label);b.addEventListener('click',act);return b}
const turn=to=>{at=Math.max(0,Math.min(slides.length-1,to));const on=new Set(slides[at].nodes)
 for(const node of [document.querySelector('header.top'),...units()])node.classList.toggle('off',!on.has(node))
 say.textContent='Slide '+(at+1)+' of '+slides.length+': '+slides[at].title;scrollTo({top:0,behavior:'instant'})}
const leave=()=>{document.body.classList.remove('slides');for(const node of document.querySelectorAll('.off'))node.classList.remove('off')
 const back=slides[at]&&slides[at].nodes[slides[at].nodes.length-1];if(back)back.scrollIntoView();start.focus()}
const enter=()=>{slides=gather();document.body.classList.add('slides');turn(0);deck.querySelector('button').focus()}
deck.append(key('\u2190','Slide before',()=>turn(at-1)),key('\u2192','Next slide',()=>turn(at+1)),say,key('Page','Back to the page',leave));document.body.append(deck)
const start=key('Slides','Show as slides',enter);if(nav)nav.append(start)
document.addEventListener('change',e=>{if(e.target.type==='radio'&&document.body.classList.contains('slides')){const to=at;for(const n of document.querySelectorAll('.off'))n.classList.remove('off');slides=gather();turn(to)}})
document.addEventListener('keydown',e=>{if(!document.body.classList.contains('slides')||e.altKey||e.ctrlKey||e.metaKey||/^(INPUT|TEXTAREA|SELECT)$/.test(e.target.tagName)&&e.key!=='Escape')return
 const step={ArrowRight:1,PageDown:1,ArrowLeft:-1,PageUp:-1}[e.key]
 if(step)turn(at+step);else if(e.key==='Home')turn(0);else if(e.key==='End')turn(slides.length-1);else if(e.key==='Escape')leave();else return
 e.preventDefault()})
let opened=[]
addEventListener('beforeprint',()=>{opened=[...document.querySelectorAll('details.print:not([open])')];for(const d of opened)d.open=true})
addEventListener('afterprint',()=>{for(const d of opened)d.open=false})
})()
`
