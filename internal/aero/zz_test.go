package aero
import ("testing";"fmt";"os";"fledge/internal/build";"fledge/internal/craft";"time")
func TestZZ(t *testing.T){
 for _,n:=range []string{"heron","swift","tern","wren"}{
  raw,err:=os.ReadFile("../../examples/"+n+".yaml"); if err!=nil {t.Fatal(err)}
  b,ds:=build.Parse(n+".yaml",raw); if ds.HasErrors(){ fmt.Println(n,ds); continue}
  ac,ds:=craft.New(b,nil); if ac==nil { fmt.Println(n,ds); continue}
  t0:=time.Now()
  m,err:=New(ac,standard(),Options{}); if err!=nil { fmt.Println(n,err); continue}
  d:=time.Since(t0)
  k:=Neutral()
  fmt.Printf("== %s %v mass %.3f cg %.4f NP %.4f SM %.3f area %.4f span %.2f notes %v inputs %d\n",n,d,ac.Mass.Total,ac.Mass.CG.X,m.np,m.StaticMargin(ac.Mass.CG.X),m.Area,m.Span,m.notes,len(ac.Inputs))
  fmt.Printf("  traits %+v\n",m.Traits(ac.Mass.Total,ac.Mass.CG,&k))
  fmt.Printf("  stall %+v\n",m.Stall(ac.Mass.Total,ac.Mass.CG,1.225,1.79e-5,&k))
  fmt.Printf("  throws %+v\n",m.throws)
  f:=m.Still(1.3*m.vRef/1.5*1.3); tr:=m.Trim(Balance{V:f.V,Rho:1.225,Mu:1.79e-5,Lift:ac.Mass.Total*g0,CG:ac.Mass.CG},&k)
  f.Alpha=tr.Alpha; f.Pitch=tr.Pitch
  fmt.Printf("  trim %.1f m/s %+v\n",f.V,tr)
  fmt.Printf("  stab %+v\n",m.Stability(f,&k,ac.Mass.CG))
  sum:=0.0
  for _,it:=range m.DragBreakdown(f.V){ fmt.Printf("     %-24s %6.2f cm2 %s\n",it.Name,it.DragArea*1e4,it.Why); sum+=it.DragArea}
  fmt.Printf("     sum %.2f CD0 %.4f\n",sum*1e4,sum/m.Area)
  for _,h:=range m.Hinge(&f){ fmt.Printf("  hinge %+v\n",h)}
  t0=time.Now(); s:=m.Shifts(ac,ac.Inputs); fmt.Println("  shifts",time.Since(t0))
  for i,x:=range s { if x!=(Shift{Path:x.Path}) { fmt.Printf("     %s sigma %g %+v\n",x.Path,ac.Inputs[i].Sigma,x)}}
 }
}
