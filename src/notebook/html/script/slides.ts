/** The page as slides: by its button, then arrows, Home, End and Escape. */
export const SLIDES = `
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
`
