/**
 * Charts that come alive: the still picture gives way to Vega's own drawing once the reader points at it or asks for it.
 * Then every mark says its record, under the pointer or by the arrow keys, and on a calendar axis a span of time can be
 * chosen by dragging or in two date fields; all calendar charts of the page follow, and so do the tables behind them.
 */
export const LIVE = `
const tip=make('div',{id:'tip',hidden:true,'aria-hidden':'true'});document.body.append(tip)
const showTip=(lines,x,y)=>{tip.hidden=!lines
 if(!lines)return
 tip.replaceChildren(...lines.map(l=>make('div',{textContent:l})))
 tip.style.left=Math.max(8,Math.min(x+14,innerWidth-tip.offsetWidth-8))+'px';tip.style.top=Math.max(8,y-tip.offsetHeight-10)+'px'}
const record=value=>value&&typeof value==='object'?Object.entries(value).map(([k,v])=>k+': '+v):value?[String(value)]:null
document.addEventListener('pointermove',e=>{
 if(e.target instanceof Element&&e.target.closest('.live'))return
 const mark=e.target instanceof Element&&e.target.closest('.drawing [aria-roledescription][aria-label]')
 const text=mark&&!/axis|legend/.test(mark.getAttribute('aria-roledescription'))&&mark.getAttribute('aria-label')
 showTip(text?text.split('; '):null,e.clientX,e.clientY)})
addEventListener('scroll',()=>showTip(null),{passive:true})
const canLive=!!document.getElementById('runtime')&&typeof DecompressionStream==='function'
const timed=new Set((document.getElementById('specs')?.dataset.time||'').split(' '))
let loading
const runtime=()=>loading??=Promise.all([unpack(document.getElementById('runtime')),unpack(document.getElementById('specs'))]).then(([code,text])=>{
 const script=make('script',{textContent:code});document.head.append(script);script.remove()
 return{vega:globalThis.vega,...JSON.parse(text)}})
const nothing={load:()=>Promise.reject(Error('no network')),sanitize:()=>Promise.reject(Error('no network'))}
const alive=new Map()
const layout=fig=>fig.querySelector('.drawing').clientWidth<=440?'narrow':'wide'
const words=new Intl.DateTimeFormat('en-GB',{day:'numeric',month:'short',year:'numeric',timeZone:'UTC'})
const spanWords=()=>{if(!state.span)return'All dates shown.'
 const days=Math.round((state.span[1]-state.span[0])/DAY)+1
 return words.format(state.span[0])+' to '+words.format(state.span[1])+' ('+days+(days===1?' day':' days')+')'}
const follow=async one=>{if(!one.time)return
 one.view.signal('waneline_span',state.span);await one.view.runAsync()
 one.from.value=state.span?iso(state.span[0]):'';one.to.value=state.span?iso(state.span[1]):''
 one.say.textContent=spanWords();one.all.disabled=!state.span}
const marksOf=one=>{const found=[],{view}=one
 const walk=node=>{for(const item of node.items||[]){
  if(item.items)for(const child of item.items)walk(child)
  else if(item.tooltip&&item._svg&&!/^(line|area|trail|text)$/.test(node.marktype))found.push(item)}}
 walk(view.scenegraph().root)
 return found.map(item=>({item,box:item._svg.getBoundingClientRect()}))
  .filter(({box})=>plotAt(one.box,box.x+box.width/2,box.y+box.height/2)).sort((a,b)=>a.box.x-b.box.x||a.box.y-b.box.y)}
const step=(one,key)=>{const all=marksOf(one);if(!all.length)return
 const was=all.findIndex(m=>m.item===one.item)
 const to={ArrowRight:was+1,ArrowLeft:was<0?all.length-1:was-1,Home:0,End:all.length-1}[key]
 const{item}=all[Math.max(0,Math.min(all.length-1,to))]
 one.item=item;item._svg.scrollIntoView({block:'nearest'})
 const box=item._svg.getBoundingClientRect(),lines=record(item.tooltip)
 one.ring.hidden=false;const frame=one.box.getBoundingClientRect()
 one.ring.style.left=box.x-frame.x-4+'px';one.ring.style.top=box.y-frame.y-4+'px';one.ring.style.width=box.width+8+'px';one.ring.style.height=box.height+8+'px'
 showTip(lines,box.right,box.top);one.told.textContent=lines.join(', ')}
const rest=one=>{one.ring.hidden=true;one.item=null;showTip(null)}
const plotAt=(box,x,y)=>{let best=null
 for(const p of box.querySelectorAll('path.background')){if(p.closest('.role-legend'))continue
  const r=p.getBoundingClientRect()
  if(r.width>40&&r.height>20&&x>=r.left-2&&x<=r.right+2&&y>=r.top-2&&y<=r.bottom+30&&(!best||r.width*r.height<best.width*best.height))best=r}
 return best}
const brush=(one,scaleName)=>{let from=null
 const band=make('div',{className:'band',hidden:true});one.box.append(band);one.box.classList.add('time')
 const at=e=>Math.max(from.plot.left,Math.min(from.plot.right,e.clientX))
 one.box.addEventListener('pointerdown',e=>{if(e.button!==0)return
  const plot=plotAt(one.box,e.clientX,e.clientY);if(plot)from={x:e.clientX,plot,id:e.pointerId}})
 one.box.addEventListener('pointermove',e=>{if(!from||Math.abs(e.clientX-from.x)<6)return
  showTip(null);const frame=one.box.getBoundingClientRect(),x=at(e)
  one.box.setPointerCapture(from.id);band.hidden=false
  band.style.left=Math.min(x,from.x)-frame.x+'px';band.style.width=Math.abs(x-from.x)+'px';band.style.top=from.plot.y-frame.y+'px';band.style.height=from.plot.height+'px'})
 const end=e=>{const start=from;from=null;if(!start||band.hidden)return
  band.hidden=true
  if(e.type!=='pointerup')return
  const x=Math.max(start.plot.left,Math.min(start.plot.right,e.clientX)),scale=one.view.scale(scaleName),range=scale.range()
  const when=px=>Math.floor(+scale.invert(range[0]+(px-start.plot.left)/start.plot.width*(range[1]-range[0]))/DAY)*DAY
  const[a,b]=[when(start.x),when(x)].sort((m,n)=>m-n)
  setSpan([a,b])}
 one.box.addEventListener('pointerup',end);one.box.addEventListener('pointercancel',end)}
const setSpan=span=>{state.span=span;changed('span')}
const wakeAnew=async fig=>{
 const{vega,rows,charts}=await runtime(),kind=layout(fig),spec=charts[fig.id][kind]
 for(const d of spec.data)if('pooled'in d)d.values=structuredClone(rows[d.pooled])
 const drawing=fig.querySelector('.drawing')
 const told=make('span',{className:'unseen',role:'status'}),ring=make('div',{className:'ring',hidden:true}),picture=make('div')
 const box=make('div',{className:'live',tabIndex:0,role:'group','aria-label':'Chart: '+fig.querySelector('.finding').textContent+'. Left and right arrow keys go from record to record.'},picture,ring,told)
 const view=new vega.View(vega.parse(spec,{},{ast:true}),{renderer:'svg',expr:vega.expressionInterpreter,container:picture,loader:nothing,logLevel:vega.Error})
 view.tooltip((_,e,item,value)=>{const lines=item&&record(value);showTip(e?lines:null,e?.clientX,e?.clientY)})
 const one={fig,view,box,told,ring,kind,item:null,time:timed.has(fig.id),drawing}
 drawing.append(box);await view.runAsync()
 const svg=picture.querySelector('svg');picture.querySelector('form')?.remove()
 for(const e of [picture,svg,...svg.querySelectorAll('[aria-roledescription],[role],[aria-label]')]){e.removeAttribute('aria-roledescription');e.removeAttribute('aria-label');e.removeAttribute('role')}
 svg.setAttribute('aria-hidden','true')
 if(one.time){const scale=(spec.scales||[]).find(s=>s.domainRaw);if(scale)brush(one,scale.name)
  const set=()=>{const a=time(one.from.value),b=time(one.to.value);if(a<=b)setSpan([a,b]);else if(a>b)one.say.textContent='The first day must not be after the last.'}
  one.from=make('input',{type:'date'});one.to=make('input',{type:'date'})
  one.from.addEventListener('change',set);one.to.addEventListener('change',set)
  one.all=make('button',{type:'button',textContent:'All dates',disabled:true});one.all.addEventListener('click',()=>setSpan(null))
  one.say=make('span',{role:'status'})
  one.tools=make('div',{className:'span'},make('label',{},'From ',one.from),make('label',{},'to ',one.to),one.all,one.say,make('span',{className:'hint',textContent:'Or drag across the chart.'}))
  if(drawing.matches('.unborn'))drawing.after(make('div',{className:'tools'},one.tools));else drawing.nextElementSibling.append(one.tools);await follow(one)}
 box.addEventListener('keydown',e=>{if(/^(ArrowRight|ArrowLeft|Home|End)$/.test(e.key)){step(one,e.key);e.preventDefault();e.stopPropagation()}else if(e.key==='Escape'){rest(one)}})
 box.addEventListener('blur',()=>rest(one));box.addEventListener('pointerleave',()=>showTip(null))
 drawing.classList.add('alive');fig.querySelector('.explore')?.setAttribute('aria-pressed','true')
 return one}
const wake=fig=>{if(!alive.has(fig.id))alive.set(fig.id,wakeAnew(fig).catch(fault=>{console.error(fault);alive.delete(fig.id);const empty=fig.querySelector('.drawing.unborn');if(empty)empty.textContent='This browser cannot draw the chart; the table behind it has its figures.';return null}));return alive.get(fig.id)}
const still=async fig=>{const one=await alive.get(fig.id);alive.delete(fig.id);if(!one)return
 one.view.finalize();one.box.remove();one.tools?.remove();one.drawing.classList.remove('alive');fig.querySelector('.explore')?.setAttribute('aria-pressed','false');showTip(null)}
const setFigure=fig=>{const drawing=fig.querySelector('.drawing');if(!canLive||!drawing)return
 if(drawing.matches('.unborn')){wake(fig);return}
 const button=make('button',{type:'button',className:'explore','aria-pressed':'false',textContent:'Explore'})
 button.setAttribute('aria-label','Explore the chart: '+fig.querySelector('.finding').textContent)
 button.addEventListener('click',async()=>{delete fig.dataset.still;if(alive.has(fig.id)){fig.dataset.still='';return still(fig)};const one=await wake(fig);one?.box.focus()})
 drawing.after(make('div',{className:'tools'},button))
 let dwell
 drawing.addEventListener('pointerenter',e=>{if(e.pointerType==='mouse'&&!('still'in fig.dataset))dwell=setTimeout(()=>wake(fig),180)})
 drawing.addEventListener('pointerleave',()=>clearTimeout(dwell))
 if(state.span&&timed.has(fig.id)&&fig.offsetParent)wake(fig)}
listeners.push(async what=>{if(what!=='span')return
 const{span}=state
 for(const fig of document.querySelectorAll('main figure'))if(timed.has(fig.id)&&(alive.has(fig.id)||span&&fig.offsetParent)){const one=canLive&&await wake(fig);if(one)await follow(one)}})
let resizing
addEventListener('resize',()=>{clearTimeout(resizing);resizing=setTimeout(async()=>{for(const[id,coming]of[...alive]){const one=await coming
 if(one&&one.drawing.offsetParent&&layout(one.fig)!==one.kind){await still(one.fig);await wake(one.fig)}}},200)})
`
