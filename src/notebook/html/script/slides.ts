/** The page as slides: by its button, then arrows, Home, End and Escape. */
export const SLIDES = `
const main=document.querySelector('main'),nav=document.querySelector('nav.contents .wrap')
let slides=[],at=0
const units=()=>[...main.children].flatMap(n=>n.classList.contains('option')||n.classList.contains('grid')?[...n.children]:[n])
const gather=()=>{const room=innerHeight-150,list=[{title:document.title,nodes:[document.querySelector('header.top')]}]
 let now=null,head=null,first=0
 for(const node of units()){if(!node.offsetHeight&&node.tagName!=='H2')continue
  const own=node.tagName==='H2',box=node.getBoundingClientRect(),last=now&&now.nodes[now.nodes.length-1],beside=last&&last.parentNode===node.parentNode&&last.getBoundingClientRect().top===box.top
  if(own)head=node
  if(!now||own||!beside&&!(node.tagName!=='H3'&&box.height<90)&&box.bottom-first>room&&now.nodes.some(n=>!/^(H2|FIELDSET)$/.test(n.tagName))){const led=!own&&last&&last.tagName==='H3'?[now.nodes.pop()]:[];now={title:head?head.textContent:document.title,nodes:[...own||!head?[]:[head],...led]};list.push(now);first=box.top-(own||!head?0:head.offsetHeight+40)}
  now.nodes.push(node)}
 return list}
const deck=document.createElement('div');deck.id='deck'
const say=document.createElement('span');say.setAttribute('role','status')
const key=(text,label,act)=>{const b=document.createElement('button');b.type='button';b.textContent=text;b.setAttribute('aria-label',label);b.addEventListener('click',act);return b}
const fit=()=>{const shown=[...main.querySelectorAll('*')]
 main.style.zoom=''
 for(let i=0,scale=1;i<5;i++){const bottom=Math.max(0,...shown.map(n=>n.getBoundingClientRect()).filter(b=>b.height).map(b=>b.bottom)),room=deck.getBoundingClientRect().top-6
  if(bottom<=room)break
  scale=Math.max(.45,scale*Math.min(.97,room/bottom));main.style.zoom=scale}}
const turn=to=>{at=Math.max(0,Math.min(slides.length-1,to));const on=new Set(slides[at].nodes)
 for(const node of [document.querySelector('header.top'),...units()])node.classList.toggle('off',!on.has(node))
 say.textContent='Slide '+(at+1)+' of '+slides.length+': '+slides[at].title;scrollTo({top:0,behavior:'instant'});fit()}
const leave=()=>{main.style.zoom='';document.body.classList.remove('slides');for(const node of document.querySelectorAll('.off'))node.classList.remove('off')
 const back=slides[at]&&slides[at].nodes[slides[at].nodes.length-1];if(back)back.scrollIntoView();start.focus()}
const enter=()=>{document.body.classList.add('slides');slides=gather();turn(0);deck.querySelector('button').focus()}
deck.append(key('\u2190','Slide before',()=>turn(at-1)),key('\u2192','Next slide',()=>turn(at+1)),say,key('Page','Back to the page',leave));document.body.append(deck)
const start=key('Slides','Show as slides',enter);if(nav)nav.append(start)
document.addEventListener('change',e=>{if(e.target.type==='radio'&&document.body.classList.contains('slides')){const to=at;for(const n of document.querySelectorAll('.off'))n.classList.remove('off');slides=gather();turn(to)}})
document.addEventListener('keydown',e=>{if(!document.body.classList.contains('slides')||e.altKey||e.ctrlKey||e.metaKey||/^(INPUT|TEXTAREA|SELECT)$/.test(e.target.tagName)&&e.key!=='Escape')return
 const step={ArrowRight:1,PageDown:1,ArrowLeft:-1,PageUp:-1}[e.key]
 if(step)turn(at+step);else if(e.key==='Home')turn(0);else if(e.key==='End')turn(slides.length-1);else if(e.key==='Escape')leave();else return
 e.preventDefault()})
addEventListener('resize',()=>{if(document.body.classList.contains('slides'))fit()})
`
